from datetime import timedelta

import pytest

from tests.pages import client, near_noon

__all__ = ["client", "walk"]


@pytest.fixture
def walk(db):
    return near_noon(timedelta(hours=1))
