from django.urls import path

from buffycoat.people import again, my_sign_ins, people_views, views

urlpatterns = [
    path("sign-in/", views.sign_in, name="sign-in"),
    path("sign-in/badge/", views.sign_in_badge, name="sign-in-badge"),
    path("sign-in/second/", views.sign_in_second, name="sign-in-second"),
    path("sign-in/again/", again.sign_in_again, name="sign-in-again"),
    path("still-here/", again.still_here, name="still-here"),
    path("sign-out/", views.sign_out, name="sign-out"),
    path("me/", views.me, name="me"),
    path("me/password/", views.my_password, name="my-password"),
    path("me/sign-ins/", my_sign_ins.my_sign_ins, name="my-sign-ins"),
    path("me/pin/", views.my_pin, name="my-pin"),
    path("me/second-factor/", views.my_second_factor, name="my-second-factor"),
    path("people/", people_views.people, name="people"),
    path("people/<int:number>/", people_views.person, name="person"),
    path("people/<int:number>/badge.pdf", people_views.badge, name="person-badge"),
]
