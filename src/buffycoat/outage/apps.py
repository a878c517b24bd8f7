from importlib import import_module

from django.apps import AppConfig


class OutageConfig(AppConfig):
    name = "buffycoat.outage"

    def ready(self) -> None:
        import_module("buffycoat.outage.to_print")
