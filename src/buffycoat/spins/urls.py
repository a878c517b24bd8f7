from django.urls import path

from buffycoat.spins import rotor_views, views

urlpatterns = [
    path("spins/", views.spins, name="spins"),
    path("spins/new/", views.new, name="spin-new"),
    path("spins/<code:spin>/", views.spin, name="spin"),
    path("spins/<code:spin>/finish/", views.finish, name="spin-finish"),
    path("spins/<code:spin>/sheet.pdf", views.sheet, name="spin-sheet"),
    path("rotors/", rotor_views.rotors, name="rotors"),
    path("rotors/new/", rotor_views.new, name="rotor-new"),
    path("rotors/cards.pdf", rotor_views.cards, name="rotor-cards"),
    path("rotors/<code:rotor>/", rotor_views.rotor, name="rotor"),
    path("rotors/<code:rotor>/card.pdf", rotor_views.card, name="rotor-card"),
]
