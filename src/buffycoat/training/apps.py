from django.apps import AppConfig


class TrainingConfig(AppConfig):
    name = "buffycoat.training"

    def ready(self) -> None:
        from buffycoat.shell.recording import ask_before
        from buffycoat.training.gate import not_signed

        ask_before.append(not_signed)
