"""A signed-in person at a bench where it is about noon."""

from datetime import UTC, datetime, timedelta

import pytest
from django.contrib.auth import get_user_model

from buffycoat.site.rules import SetLimit
from tests.walk import Walk


@pytest.fixture
def walk(db):
    """An hour ago, at a place where it is about noon, so that no test runs across midnight."""
    now = datetime.now(UTC)
    made = Walk(at=now - timedelta(hours=1))
    east = 12 - now.hour
    zone = f"Etc/GMT{-east:+d}" if east else "Etc/GMT"
    made.do(SetLimit(key="time_zone", value=zone, reason="invented"))
    return made


@pytest.fixture
def client(client, walk):
    client.force_login(get_user_model().objects.create_user("robin"))
    return client
