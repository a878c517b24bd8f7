from django.urls import path

from buffycoat.training import views

urlpatterns = [
    path("training/", views.training, name="training"),
    path("training/sign/", views.sign, name="training-sign"),
]
