from django.apps import AppConfig


class ListsConfig(AppConfig):
    name = "buffycoat.lists"
