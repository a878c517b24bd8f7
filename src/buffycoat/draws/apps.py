from django.apps import AppConfig


class DrawsConfig(AppConfig):
    name = "buffycoat.draws"
