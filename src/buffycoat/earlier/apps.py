from django.apps import AppConfig


class EarlierConfig(AppConfig):
    name = "buffycoat.earlier"
