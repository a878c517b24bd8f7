from django.urls import path

from buffycoat.draws import bag_set_views, views

urlpatterns = [
    path("draws/", views.draws, name="draws"),
    path("draws/new/", views.new_draw, name="draw-new"),
    path("draws/target/", views.target, name="draw-target"),
    path("draws/<code:donation>/finish/", views.finish, name="draw-finish"),
    path("draws/<code:donation>/discard/", views.discard, name="draw-discard"),
    path("draws/<code:donation>/stickers.pdf", views.stickers_pdf, name="draw-stickers"),
    path("bag-sets/", bag_set_views.bag_sets, name="bag-sets"),
    path("bag-sets/new/", bag_set_views.new_bag_set, name="bag-set-new"),
    path("bag-sets/cards.pdf", bag_set_views.cards_pdf, name="bag-set-cards"),
    path("bag-sets/<code:lot>/", bag_set_views.bag_set, name="bag-set"),
    path("bag-sets/<code:lot>/hold/", bag_set_views.hold, name="bag-set-hold"),
    path("bag-sets/<code:lot>/card.pdf", bag_set_views.card_pdf, name="bag-set-card"),
]
