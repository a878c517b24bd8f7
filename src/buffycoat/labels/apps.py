from importlib import import_module

from django.apps import AppConfig


class LabelsConfig(AppConfig):
    name = "buffycoat.labels"

    def ready(self) -> None:
        import_module("buffycoat.labels.to_print")
