from django.urls import path

from buffycoat.storage import stock_views, views

urlpatterns = [
    path("put-away/", views.put_away, name="put-away"),
    path("stock/", stock_views.stock, name="stock"),
    path("units/<code:unit>/discard/", views.discard, name="unit-discard"),
    path("places/", views.places, name="places"),
    path("places/new/", views.new_place, name="place-new"),
    path("places/cards.pdf", views.cards, name="place-cards"),
    path("places/<code:place>/", views.place, name="place"),
    path("places/<code:place>/card.pdf", views.card, name="place-card"),
]
