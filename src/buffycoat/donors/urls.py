from django.urls import path

from buffycoat.donors import views

urlpatterns = [
    path("donors/", views.donors, name="donors"),
    path("donors/new/", views.new_donor, name="donor-new"),
    path("donors/<str:donor>/", views.donor, name="donor"),
    path("donors/<str:donor>/examine/", views.examine, name="donor-examine"),
    path("donors/<str:donor>/type/", views.type_blood, name="donor-type"),
    path("donors/<str:donor>/owner/", views.owner, name="donor-owner"),
    path("donors/<str:donor>/card.pdf", views.card, name="donor-card"),
]
