from django.apps import AppConfig


class SeparationConfig(AppConfig):
    name = "buffycoat.separation"
