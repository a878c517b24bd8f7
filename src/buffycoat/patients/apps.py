from django.apps import AppConfig


class PatientsConfig(AppConfig):
    name = "buffycoat.patients"
