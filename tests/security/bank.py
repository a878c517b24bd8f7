"""A demo bank in a temporary folder, for a client of this process."""

import os
from typing import Any


def demo() -> Any:
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    import django

    django.setup()
    from django.core.management import call_command
    from django.test import Client

    from buffycoat.cli import bank

    call_command("migrate", verbosity=0)
    bank.demo()
    return Client(enforce_csrf_checks=True, SERVER_NAME="localhost")
