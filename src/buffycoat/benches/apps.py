from django.apps import AppConfig


class BenchesConfig(AppConfig):
    name = "buffycoat.benches"
