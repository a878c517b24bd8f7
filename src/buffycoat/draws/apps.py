from importlib import import_module

from django.apps import AppConfig


class DrawsConfig(AppConfig):
    name = "buffycoat.draws"

    def ready(self) -> None:
        import_module("buffycoat.draws.to_print")
