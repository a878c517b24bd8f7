from django.urls import path

from buffycoat.separation import views

urlpatterns = [
    path("separation/", views.separations, name="separations"),
    path("separation/<str:donation>/express/", views.express, name="separation-express"),
    path("separation/<str:donation>/keep-whole/", views.keep_whole, name="separation-keep-whole"),
    path("separation/<str:donation>/additive/", views.additive, name="separation-additive"),
    path("separation/<str:donation>/clots/", views.clots, name="separation-clots"),
    path("separation/<str:donation>/segments/", views.segments, name="separation-segments"),
    path("separation/<str:donation>/weigh/<str:part>/", views.weigh, name="separation-weigh"),
]
