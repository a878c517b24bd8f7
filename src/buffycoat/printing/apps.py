from importlib import import_module

from django.apps import AppConfig


class PrintingConfig(AppConfig):
    name = "buffycoat.printing"

    def ready(self) -> None:
        import_module("buffycoat.printing.paper")
