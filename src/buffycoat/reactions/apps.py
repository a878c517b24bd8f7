from django.apps import AppConfig


class ReactionsConfig(AppConfig):
    name = "buffycoat.reactions"
