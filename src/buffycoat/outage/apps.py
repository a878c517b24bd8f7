from django.apps import AppConfig


class OutageConfig(AppConfig):
    name = "buffycoat.outage"
