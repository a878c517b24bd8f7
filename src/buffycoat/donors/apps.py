from django.apps import AppConfig


class DonorsConfig(AppConfig):
    name = "buffycoat.donors"
