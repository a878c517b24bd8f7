from importlib import import_module

from django.apps import AppConfig


class ChangesConfig(AppConfig):
    name = "buffycoat.changes"

    def ready(self) -> None:
        import_module("buffycoat.changes.rules")  # so that the terminal offers its commands
