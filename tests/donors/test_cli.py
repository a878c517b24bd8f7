"""The donors from a terminal: the same answer as on the page, and the same steps."""

from datetime import timedelta

import pytest

from buffycoat.cli.main import main
from buffycoat.donors.questions import asked_of
from buffycoat.donors.rules import Donor, RetireDonor
from tests.pages import near_noon
from tests.walk import unknown


@pytest.fixture
def walk(db):
    return near_noon(timedelta(minutes=30))


def said(capsys, *arguments, expect=0):
    assert expect == main([str(each) for each in arguments])
    shown = capsys.readouterr()
    return shown.out + shown.err


def test_may_give_tells_yes_how_much_and_every_check_with_its_source(walk, capsys):
    shown = said(capsys, "may-give", walk.a_donor())
    assert shown.startswith("Yes, at most 576 mL.\n")
    assert "may give: PCV 45 %. [Dog: Giger, WSAVA 2017 (over 40 %)." in shown
    assert "to mind: No consent of Bramble's owner is written down. [" in shown


def test_may_give_ends_with_1_where_it_may_not(walk, capsys):
    donor = walk.a_donor()
    walk.do(RetireDonor(donor=donor, reason="Stiff."))
    assert said(capsys, "may-give", donor, expect=1).startswith(
        "No.\nmay not give: Bramble is retired: Stiff.\n"
    )
    assert said(capsys, "may-give", unknown("D"), expect=1).startswith(
        "No.\nmay not give: No donor has this number"
    )
    assert "That is a place, not a donor." in said(capsys, "may-give", unknown("P"), expect=2)


def test_a_whole_visit_is_done_by_its_steps(walk, capsys):
    donor = walk.a_donor(examined=False)
    at = ("--by", "robin", "--donor", donor)
    said(capsys, "do", "give-consent", *at)
    answers = [f"{question.key}=no" for question in asked_of("dog", "female")]
    said(capsys, "do", "answer-questions", *at, "--answers", *answers)
    measured = ("--weight-g", 32000, "--pcv-permille", 450, "--murmur", "false", "--temperature-deci-c", 386)
    said(capsys, "do", "examine-donor", *at, *measured)
    said(capsys, "do", "defer-donor", *at, "--reason", "Bites", "--no-draw-before", "2099-01-01")
    state = walk.look(Donor, donor)
    assert (386, False, "1") == (
        state.examined.temperature_deci_c,
        state.examined.murmur,
        state.consent.version,
    )
    assert ["Bites"] == [each.reason for each in state.deferrals.values()]
    shown = said(capsys, "may-give", donor, expect=1)
    assert "may not give: Deferred, no draw before 01 Jan 2099: Bites" in shown


def test_checks_are_waived_by_name(walk, capsys):
    donor = walk.a_donor(born_on=walk.at.date() - timedelta(days=4_000))
    named = ("--decided-by", "Dr Invented", "--reason", "Bleeding", "--checks", "age")
    said(capsys, "do", "waive-checks", "--by", "robin", "--donor", donor, *named)
    assert "waived: Bramble is 131 months old" in said(capsys, "may-give", donor)
