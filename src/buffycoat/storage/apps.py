from importlib import import_module

from django.apps import AppConfig


class StorageConfig(AppConfig):
    name = "buffycoat.storage"

    def ready(self) -> None:
        import_module("buffycoat.storage.to_print")
