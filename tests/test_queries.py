"""A page asks the database as often for much as for little."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.pages import client, walk  # noqa: F401

PAGES = [
    "/donors/",
    "/draws/",
    "/spins/",
    "/separation/",
    "/labels/",
    "/stock/",
    "/places/",
    "/journal/",
    "/bag-sets/",
]


def queries(client, path):  # noqa: F811
    with CaptureQueriesContext(connection) as asked:
        assert 200 == client.get(path).status_code
    return len(asked)


@pytest.mark.one_database
def test_a_longer_list_takes_no_more_questions(client, walk):  # noqa: F811
    one_of_each_more(walk)
    few = {path: queries(client, path) for path in PAGES}
    one_of_each_more(walk)
    assert few == {path: queries(client, path) for path in PAGES}


def one_of_each_more(walk):  # noqa: F811
    """On the shelf, to be labelled, in the centrifuge, drawn."""
    walk.on_the_shelf("dog")
    walk.weighed("cat")
    walk.spun("dog")
    walk.drawn("cat")
