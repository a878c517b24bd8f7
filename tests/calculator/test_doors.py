"""One number, whichever door is taken: the function itself, the page and the terminal."""

import inspect
import json
import re
from html import unescape
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

import pytest
from django.contrib.auth import get_user_model

from buffycoat.calculator.catalogue import CALCULATORS
from buffycoat.calculator.docstrings import first_call
from buffycoat.cli.main import main
from buffycoat.journal.models import Entry
from buffycoat.shell.words import THIN

pytestmark = pytest.mark.one_database

every_calculator = pytest.mark.parametrize("found", CALCULATORS.values(), ids=CALCULATORS)
EXPLAINED = {
    name for name, each in CALCULATORS.items() if first_call(each.function) and not each.example_typed
}
KEYS = ["calculator", "given", "results", "formula", "range", "source", "caution"]


@pytest.fixture
def robin(client, db):
    client.force_login(get_user_model().objects.create_user("robin"))
    return client


def arguments(found, typed):
    """What is typed in a terminal for what is typed on the page."""
    given = ["calc", found.name]
    for name, text in typed.items():
        kind = found.input(name).kind
        parts = text.splitlines() if kind.lines else text.split() if kind.many else [text]
        given += [f"--{name.replace('_', '-')}", *parts]
    return given


def by_terminal(capsys, found, typed):
    assert 0 == main([*arguments(found, typed), "--json"])
    return json.loads(capsys.readouterr().out)


def by_page(client, found, typed):
    page = client.get(f"/calculator/{found.name}/?{urlencode(typed)}").content.decode()
    return page, [
        (unescape(value), unescape(re.sub("<[^>]+>", "", text))) for value, text in DATA.findall(page)
    ]


def read(value):
    """Numbers before words, so that both doors can be sorted alike."""
    try:
        return (float(str(value)), "")
    except ValueError:
        return (0.0, str(value))


DATA = re.compile(r'<data[^>]* value="([^"]*)">(.*?)</data>', re.DOTALL)


@every_calculator
def test_the_page_and_the_terminal_tell_the_same_results_and_record_nothing(robin, capsys, found):
    before = Entry.objects.count()
    told = by_terminal(capsys, found, found.example)
    page, shown = by_page(robin, found, found.example)
    texts = [f"{each['text']} {each['unit']}".strip() for each in told["results"]]
    assert sorted(texts) == sorted(text.strip() for _, text in shown)
    assert sorted(read(each["value"]) for each in told["results"]) == sorted(
        read(value) for value, _ in shown
    )
    assert unescape(page).count(told["source"].replace("`", "")[1:])
    assert before == Entry.objects.count()


@pytest.mark.parametrize("name", sorted(EXPLAINED))
def test_the_terminal_gives_what_the_function_gives_for_the_docstrings_own_example(capsys, name):
    found = CALCULATORS[name]
    signature = inspect.signature(found.function)
    bound = inspect.BoundArguments(signature, first_call(found.function))
    told = by_terminal(capsys, found, found.example)
    direct = found.lines_of(
        found.function(*bound.args, **bound.kwargs), ZoneInfo(found.example.get("zone", "UTC"))
    )
    assert [each.label for each in direct] == [each["label"] for each in told["results"]]
    for mine, its in zip(direct, told["results"], strict=True):
        assert (
            pytest.approx(mine.machine, rel=1e-9, abs=1e-9) == its["value"]
            if isinstance(mine.machine, float)
            else (mine.machine == its["value"])
        )


def test_most_examples_come_from_the_docstrings_themselves():
    assert len(EXPLAINED) >= len(CALCULATORS) - 4


@every_calculator
def test_what_programs_read_keeps_its_shape(capsys, found):
    told = by_terminal(capsys, found, found.example)
    assert KEYS == list(told)
    assert [each.name for each in found.inputs] == list(told["given"])
    assert all(["label", "value", "unit", "text"] == list(each) for each in told["results"])


def test_the_printed_figures_of_a_field_are_the_same_by_every_door(robin, capsys):
    found, typed = CALCULATORS["rcf"], {"rpm": "4200", "radius_mm": "250"}
    value = found.function(4200, 250)
    assert pytest.approx(4931.5, abs=0.05) == value
    assert value == by_terminal(capsys, found, typed)["results"][0]["value"]
    assert [(str(value), f"4{THIN}931.5 × g")] == by_page(robin, found, typed)[1]
