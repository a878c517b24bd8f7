from django.apps import AppConfig


class TrainingConfig(AppConfig):
    name = "buffycoat.training"

    def ready(self) -> None:
        from buffycoat.shell.recording import ask_before
        from buffycoat.training.gate import asked

        ask_before.append(asked)
