from django.urls import path

from buffycoat.equipment import views

urlpatterns = [
    path("equipment/", views.every_piece, name="equipment"),
    path("equipment/new/", views.new, name="equipment-new"),
    path("equipment/cards.pdf", views.cards, name="equipment-cards"),
    path("equipment/<code:equipment>/", views.piece, name="equipment-piece"),
    path("equipment/<code:equipment>/check/", views.check, name="equipment-check"),
    path("equipment/<code:equipment>/use/", views.use, name="equipment-use"),
    path("equipment/<code:equipment>/card.pdf", views.card, name="equipment-card"),
]
