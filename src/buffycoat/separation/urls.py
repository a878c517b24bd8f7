from django.urls import path

from buffycoat.separation import views

urlpatterns = [
    path("separation/", views.separations, name="separations"),
    path("separation/<code:donation>/express/", views.express, name="separation-express"),
    path("separation/<code:donation>/keep-whole/", views.keep_whole, name="separation-keep-whole"),
    path("separation/<code:donation>/additive/", views.additive, name="separation-additive"),
    path("separation/<code:donation>/clots/", views.clots, name="separation-clots"),
    path("separation/<code:donation>/segments/", views.segments, name="separation-segments"),
    path("separation/<code:donation>/weigh/<str:part>/", views.weigh, name="separation-weigh"),
]
