from django.apps import AppConfig


class LabelsConfig(AppConfig):
    name = "buffycoat.labels"
