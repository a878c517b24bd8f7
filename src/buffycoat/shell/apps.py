from django.apps import AppConfig
from django.urls import register_converter


class ShellConfig(AppConfig):
    name = "buffycoat.shell"

    def ready(self) -> None:
        from buffycoat.shell.addresses import CodeInAddress

        register_converter(CodeInAddress, "code")
