from django.apps import AppConfig


class PeopleConfig(AppConfig):
    name = "buffycoat.people"

    def ready(self) -> None:
        from buffycoat.people import sessions, told

        told.listen()
        sessions.listen()
