"""How pages write codes, numbers, times and clocks."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.template import Context, Template
from django.utils import timezone

from buffycoat.science.numbering import make_code
from buffycoat.shell.pictures import shapes

UNIT = make_code("U", "KTRA", 4217)


def written(source: str, **values) -> str:
    with timezone.override(ZoneInfo("Europe/London")):
        return Template("{% load buffycoat %}" + source).render(Context(values)).strip()


@pytest.mark.parametrize(
    ("text", "source", "value"),
    [
        ("451\u00a0g", "{{ it|grams }}", 451),
        ("1\u202f234\u00a0g", "{{ it|grams }}", 1234),
        ("63\u00a0mL", "{{ it|millilitres }}", 63),
        ("23.4\u00a0kg", "{{ it|kilograms }}", 23_400),
        ("44.5\u00a0%", "{{ it|permille_as_percent }}", 445),
        ("1.053\u00a0g/mL", "{{ it|density }}", 1_053),
        ("1.060\u00a0g/mL", "{{ it|density }}", 1_060),
        ("−30\u00a0°C", "{{ it|celsius }}", -30),
        ("1\u00a0h 05\u00a0min", "{{ it|duration }}", 3_900),
        ("four hundred fifty-one", "{{ it|number_in_words }}", 451),
        ("24 Oct 2026, 14:05", "{{ it|local_time }}", datetime(2026, 10, 24, 13, 5, tzinfo=UTC)),
        ("14:05", "{{ it|local_clock }}", datetime(2026, 10, 24, 13, 5, tzinfo=UTC)),
        ("25 Oct 2026", "{{ it|local_day }}", datetime(2026, 10, 24, 23, 5, tzinfo=UTC)),
        ("24 Oct 2026", "{{ it|local_day }}", date(2026, 10, 24)),
        (f"UKTRA-0004217-{UNIT[-2:]}", "{{ it|show_code }}", UNIT),
        ("not known", "{{ it|grams }}", None),
        ("not known", "{{ it|local_time }}", None),
    ],
)
def test_values_are_written_for_people(text, source, value):
    assert text == written(source, it=value)


def test_the_last_four_figures_of_a_code_are_larger():
    html = written('{% include "shell/_code.html" %}', code=UNIT)
    assert f'<span class="code">UKTRA-000<strong>4217</strong>-{UNIT[-2:]}</span>' == html


def test_what_is_no_code_is_shown_escaped():
    assert "&lt;b&gt;" in written('{% include "shell/_code.html" %}', code="<b>")


@pytest.mark.parametrize(("status", "word"), shapes.WORDS.items())
def test_a_status_is_word_shape_and_colour(status, word):
    html = written('{% include "shell/_chip.html" %}', status=word)
    assert f"chip-{status}" in html
    assert "<svg" in html
    assert html.endswith(f"{word}</span>")


def test_an_unknown_status_is_an_error():
    with pytest.raises(ValueError, match="is no status"):
        written('{% include "shell/_chip.html" %}', status="fine")


def test_statuses_have_different_shapes():
    assert len(shapes.WORDS) == len({shapes.shape(status) for status in shapes.WORDS})


@pytest.mark.parametrize(
    ("state", "left", "words"),
    [
        ("running", timedelta(hours=2, seconds=30), "2\u00a0h 00\u00a0min left"),
        ("soon", timedelta(minutes=9, seconds=30), "9\u00a0min left"),
        ("late", timedelta(minutes=-12, seconds=-30), "12\u00a0min late"),
    ],
)
def test_a_clock_says_how_much_is_left_or_how_late_it_is(state, left, words):
    html = written('{% include "shell/_clock.html" with label="Freezer by" %}', due=timezone.now() + left)
    assert f"clock-{state}" in html
    assert words in html
    assert "Freezer by" in html


def test_age_counts_to_today():
    born_on = timezone.now().date() - timedelta(days=5 * 365 + 10)
    assert "5 years" == written("{{ it|age }}", it=born_on)
