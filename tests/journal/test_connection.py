"""A connection as Django opens it keeps what was recorded, and minds the triggers."""

import pytest
from django.db import connection

pytestmark = pytest.mark.django_db
PROMISES = {
    "sqlite": {
        "PRAGMA journal_mode": "wal",
        "PRAGMA synchronous": 2,
        "PRAGMA recursive_triggers": 1,
        "PRAGMA foreign_keys": 1,
    },
    "postgresql": {"SHOW transaction_isolation": "read committed", "SHOW TimeZone": "UTC"},
}


def test_the_connection_is_opened_as_promised():
    said = {}
    with connection.cursor() as cursor:
        for question in PROMISES[connection.vendor]:
            cursor.execute(question)
            said[question] = cursor.fetchone()[0]
    assert PROMISES[connection.vendor] == said


def test_a_write_on_sqlite_locks_at_once_and_waits_for_its_turn():
    options = connection.settings_dict["OPTIONS"]
    if connection.vendor == "sqlite":
        assert ("IMMEDIATE", True) == (options["transaction_mode"], options["timeout"] >= 10)
    else:
        assert connection.features.has_select_for_update
