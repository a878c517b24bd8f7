from django.urls import path

from buffycoat.storage import views

urlpatterns = [
    path("put-away/", views.put_away, name="put-away"),
    path("stock/", views.stock, name="stock"),
    path("units/<str:unit>/discard/", views.discard, name="unit-discard"),
    path("places/", views.places, name="places"),
    path("places/new/", views.new_place, name="place-new"),
    path("places/<str:place>/", views.place, name="place"),
    path("places/<str:place>/card.pdf", views.card, name="place-card"),
]
