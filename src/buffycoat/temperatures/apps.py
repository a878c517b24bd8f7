from django.apps import AppConfig


class TemperaturesConfig(AppConfig):
    name = "buffycoat.temperatures"
