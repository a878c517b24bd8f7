from django.apps import AppConfig


class SiteConfig(AppConfig):
    name = "buffycoat.site"
