from django.urls import path

from buffycoat.people import views

urlpatterns = [
    path("sign-in/", views.sign_in, name="sign-in"),
    path("sign-out/", views.sign_out, name="sign-out"),
    path("people/", views.people, name="people"),
]
