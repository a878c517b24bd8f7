from django.urls import path

from buffycoat.reactions import views

urlpatterns = [path("reaction/", views.reaction, name="reaction")]
