from django.urls import path

from buffycoat.donors import views

urlpatterns = [
    path("donors/", views.donors, name="donors"),
    path("donors/new/", views.new_donor, name="donor-new"),
    path("donors/cards.pdf", views.cards, name="donor-cards"),
    path("donors/<code:donor>/", views.donor, name="donor"),
    path("donors/<code:donor>/examine/", views.examine, name="donor-examine"),
    path("donors/<code:donor>/type/", views.type_blood, name="donor-type"),
    path("donors/<code:donor>/owner/", views.owner, name="donor-owner"),
    path("donors/<code:donor>/card.pdf", views.card, name="donor-card"),
]
