from django.contrib.auth.decorators import login_not_required
from django.urls import path

from buffycoat.shell.views import command_cards, set_look

urlpatterns = [
    path("look/", login_not_required(set_look), name="look"),
    path("command-cards.pdf", command_cards, name="command-cards"),
]
