from django.urls import path

from buffycoat.storage import count_views, lot_views, stock_views, views, waste_views

urlpatterns = [
    path("put-away/", views.put_away, name="put-away"),
    path("stock/", stock_views.stock, name="stock"),
    path("stock/lost/", waste_views.waste, name="stock-lost"),
    path("units/<code:unit>/take-out/", views.take_out, name="unit-take-out"),
    path("units/<code:unit>/discard/", views.discard, name="unit-discard"),
    path("bag-sets/<code:lot>/units/", lot_views.units, name="bag-set-units"),
    path("places/", views.places, name="places"),
    path("places/new/", views.new_place, name="place-new"),
    path("places/cards.pdf", views.cards, name="place-cards"),
    path("places/<code:place>/", views.place, name="place"),
    path("places/<code:place>/count/", count_views.count, name="place-count"),
    path("places/<code:place>/card.pdf", views.card, name="place-card"),
]
