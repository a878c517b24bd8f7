from django.urls import path

from buffycoat.site import views

urlpatterns = [
    path("limits/", views.all_limits, name="limits"),
    path("limits/<str:key>/", views.one_limit, name="limit"),
]
