from django.apps import AppConfig


class BenchesConfig(AppConfig):
    name = "buffycoat.benches"

    def ready(self) -> None:
        from buffycoat.benches.gate import in_use
        from buffycoat.shell.recording import ask_before

        ask_before.append(in_use)
