from django.apps import AppConfig


class IssuingConfig(AppConfig):
    name = "buffycoat.issuing"

    def ready(self) -> None:
        """So that every process can read the facts of crossmatches and refused issues, which have no register."""
        from buffycoat.issuing import rules  # noqa: F401
