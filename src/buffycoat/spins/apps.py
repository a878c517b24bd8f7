from django.apps import AppConfig


class SpinsConfig(AppConfig):
    name = "buffycoat.spins"
