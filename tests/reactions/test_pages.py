"""The page says first what to do, and then which definitions fit."""

from django.urls import reverse

from buffycoat.site.rules import SetLimit
from tests.pages import text


def look(client, **seen):
    return client.get(reverse("reaction"), {"hours": "1", **seen})


def test_what_to_do_stands_there_before_anything_is_typed(client):
    page = client.get(reverse("reaction"))
    assert "Stop the transfusion." in text(page)
    assert "seen" not in page.context


def test_a_fever_is_named_with_its_definition_and_source(client):
    page = look(client, before_dc="38.4", after_dc="39.5")
    assert ["fever"] == [kind.key for kind in page.context["kinds"]]
    assert "risen by more than 1.0 °C" in text(page)


def test_the_site_says_from_where_on_it_is_fever(client, walk):
    walk.do(SetLimit(key="fever_over_dc", value=392, reason="102.5 °F"))
    assert [] == look(client, before_dc="37.9", after_dc="39.1").context["kinds"]
    assert "No definition fits" in text(look(client, before_dc="37.9", after_dc="39.1"))


def test_a_temperature_in_fahrenheit_is_not_taken_for_celsius(client):
    page = look(client, after_dc="102.5")
    assert "seen" not in page.context
    assert "102.5 °C is more than can be right here" in text(page)
