"""What is wrong is said at once, holds what it concerns, and is settled by somebody else."""

from datetime import timedelta

import msgspec
import pytest

from buffycoat.draws.rules import Draw
from buffycoat.draws.stickers import sticker
from buffycoat.labels.rules import LabelPrinted
from buffycoat.problems.rules import (
    DISCARDED,
    FITTING,
    NOTHING_WRONG,
    OTHER,
    STREAMS,
    WHAT,
    OfDonation,
    OfDonor,
    OfPlace,
    ProblemReported,
    ProblemSettled,
    ReportProblem,
    SettleProblem,
    why_held,
)
from buffycoat.science.numbering import show_code
from buffycoat.site.rules import SetLimit
from buffycoat.storage.rules import DiscardUnit
from tests.walk import pure_walk, unknown

ALONE = "robin reported it: somebody else must look and settle it. Alone on duty, look again 10 min after the report."


@pytest.fixture
def walk():
    return pure_walk()


@pytest.fixture
def units(walk):
    return walk.units(walk.on_the_shelf())


def reported(walk, about, what="leak", words=""):
    return walk.do(ReportProblem(about=about, what=what, words=words)).the(ProblemReported)


def settling(about, problem, by="kim", outcome=NOTHING_WRONG, why="Dry, and dry again after an hour."):
    return SettleProblem(about=about, problem=problem.problem, outcome=outcome, why=why, settled_by=by)


def held(walk, unit, part):
    named = walk.look(Draw, donation_of(walk, unit)).number
    return list(why_held(walk.look, named, part))


def donation_of(walk, unit):
    return next(
        line.stream.partition("/")[2]
        for line in walk.look.lines
        if getattr(line.fact, "unit", "") == unit and line.stream.startswith("donation/")
    )


def test_a_problem_of_a_unit_holds_that_unit_alone(walk, units):
    reported(walk, units["plasma"], words="At the port")
    assert ["Leak: At the port"] == held(walk, units["plasma"], "plasma")
    assert [] == held(walk, units["plasma"], "red-cells")


@pytest.mark.parametrize("kind", ["G", "J", "V", "N"])
def test_a_problem_of_a_donation_holds_all_its_units_whichever_sticker_is_scanned(walk, kind):
    donation = walk.drawn()
    reported(walk, sticker(donation, kind), "colour")
    assert ["Wrong colour"] == list(why_held(walk.look, donation, "plasma"))
    assert ["Wrong colour"] == list(why_held(walk.look, donation, "red-cells"))


def test_a_problem_of_a_place_or_a_donor_is_written_to_it_and_holds_no_unit(walk):
    place, donor = walk.a_place("fridge"), walk.a_donor("dog")
    for about, state in ((place, OfPlace), (donor, OfDonor)):
        reported(walk, about, "device")
        assert ["device"] == [each.reported.what for each in walk.look(state, about).open]


@pytest.mark.parametrize("about", ["G", "U", "P", "R", "T", "L", "D"])
def test_nothing_is_reported_of_what_is_not_in_the_book(walk, about):
    command = ReportProblem(about=unknown(about), what="leak")
    assert 1 == len(walk.why_not(command))
    assert show_code(unknown(about)) in walk.why_not(command)[0]


def test_of_a_command_card_no_problem_is_written(walk):
    assert (
        "is nothing that a problem can be written to"
        in walk.why_not(ReportProblem(about=unknown("C"), what="leak"))[0]
    )


def test_it_is_said_what_is_wrong(walk, units):
    assert ["Say what is wrong in your own words: “something else” alone helps nobody."] == walk.why_not(
        ReportProblem(about=units["plasma"], what=OTHER, words=" ")
    )
    assert walk.why_not(ReportProblem(about=units["plasma"], what="nonsense"))[0].startswith(
        "Say what is wrong: leak"
    )


def test_the_same_is_not_reported_twice_while_it_is_open(walk, units):
    problem = reported(walk, units["plasma"])
    again = ReportProblem(about=units["plasma"], what="leak")
    assert [
        "This is reported already and not settled yet. If there is more, report it as something else."
    ] == walk.why_not(again)
    walk.do(settling(units["plasma"], problem))
    assert [] == walk.why_not(again)


def test_settled_by_somebody_else_it_holds_no_longer(walk, units):
    problem = reported(walk, units["plasma"])
    done = walk.do(settling(units["plasma"], problem)).the(ProblemSettled)
    assert not done.alone
    assert [] == held(walk, units["plasma"], "plasma")


def test_a_report_said_to_be_of_yesterday_shortens_nothing(walk, units):
    said_at, written_at = walk.at - timedelta(days=1), walk.at
    fact = ProblemReported(problem=99, about=units["plasma"], part="plasma", what="leak", words="")
    stream = f"donation/{donation_of(walk, units['plasma'])}"
    line = walk.look.tell(stream, fact, said_at)
    walk.look.lines[-1] = msgspec.structs.replace(line, recorded_at=written_at)
    mine = settling(units["plasma"], fact, by="robin")
    assert [ALONE] == walk.why_not(mine, written_at + timedelta(minutes=9))
    assert [] == walk.why_not(mine, written_at + timedelta(minutes=10))


@pytest.mark.parametrize("by", ["Robin", " robin ", "ROBIN"])
def test_another_spelling_is_nobody_else(walk, units, by):
    problem = reported(walk, units["plasma"])
    assert 1 == len(walk.why_not(settling(units["plasma"], problem, by=by)))


def test_somebody_settles_it(walk, units):
    problem = reported(walk, units["plasma"])
    assert ["Say who settles it."] == walk.why_not(settling(units["plasma"], problem, by=" "))


def test_a_code_typed_with_hyphens_is_kept_as_the_code(walk, units):
    problem = reported(walk, show_code(units["plasma"]).lower())
    assert units["plasma"] == problem.about
    again = ReportProblem(about=show_code(units["plasma"]), what="leak")
    assert 1 == len(walk.why_not(again))


def test_what_is_said_of_a_unit_stands_on_its_label_alone(walk, units):
    unit, all_of_it = (
        reported(walk, about) for about in (units["plasma"], donation_of(walk, units["plasma"]))
    )
    labels = [line.fact for line in walk.look.lines if isinstance(line.fact, LabelPrinted)]
    assert ["plasma"] == [label.part for label in labels if unit.stands_on(label)]
    assert [] == [label.part for label in labels if all_of_it.stands_on(label)]


def test_each_outcome_stands_on_its_own_report(walk, units):
    first, second = (reported(walk, units["plasma"], what) for what in ("leak", "clot"))
    settled = walk.do(settling(units["plasma"], first)).the(ProblemSettled)
    assert (True, False) == (settled.stands_on(first), settled.stands_on(second))


def test_what_is_offered_for_a_thing_is_among_all_that_can_be_wrong():
    assert all(set(fitting) <= set(WHAT) and OTHER in fitting for fitting in FITTING.values())
    assert set(FITTING) == set(STREAMS) - {"G"}


def test_nobody_settles_at_once_what_they_reported(walk, units):
    at, problem = walk.at, reported(walk, units["plasma"])
    mine = settling(units["plasma"], problem, by="robin")
    assert [ALONE] == walk.why_not(mine, at + timedelta(minutes=9, seconds=59))
    assert [] == walk.why_not(mine, at + timedelta(minutes=10))
    walk.at = at + timedelta(minutes=10)
    assert walk.do(mine).the(ProblemSettled).alone


def test_a_site_may_allow_nobody_to_settle_alone(walk, units):
    walk.do(SetLimit(key="settle_alone_after_min", value=0, reason="Always two."))
    problem = reported(walk, units["plasma"])
    assert ["robin reported it: somebody else must look and settle it."] == walk.why_not(
        settling(units["plasma"], problem, by="robin"), walk.at + timedelta(days=1)
    )


def test_what_came_of_it_and_why_is_said(walk, units):
    problem = reported(walk, units["plasma"])
    wrong = settling(units["plasma"], problem, outcome="gone", why=" ")
    assert [
        "Say what came of it: nothing is wrong with it, it was put right, it was discarded.",
        "Say what was looked at and why this is right.",
    ] == walk.why_not(wrong)


def test_it_is_settled_once(walk, units):
    problem = reported(walk, units["plasma"])
    walk.do(settling(units["plasma"], problem))
    assert ["kim has settled it already: Dry, and dry again after an hour."] == walk.why_not(
        settling(units["plasma"], problem)
    )


def test_no_problem_of_that_number_is_settled(walk, units):
    problem = reported(walk, units["plasma"])
    assert [f"No problem of {show_code(units['red-cells'])} has the number 999."] == walk.why_not(
        SettleProblem(about=units["red-cells"], problem=999, outcome="put-right", why="So.", settled_by="kim")
    )
    assert problem.problem in walk.look(OfDonation, donation_of(walk, units["plasma"])).known


def test_discarded_is_said_only_of_what_was_discarded(walk, units):
    problem = reported(walk, units["plasma"])
    gone = settling(units["plasma"], problem, outcome=DISCARDED)
    assert [
        f"{show_code(units['plasma'])} is not discarded yet: discard it first, then settle this."
    ] == walk.why_not(gone)
    walk.do(DiscardUnit(unit=units["plasma"], reason="Leaking"))
    assert [] == walk.why_not(gone)


def test_before_any_label_a_whole_donation_is_discarded_first(walk):
    donation = walk.drawn()
    problem = reported(walk, donation)
    assert ["The donation is not discarded yet: discard it first, then settle this."] == walk.why_not(
        settling(donation, problem, outcome=DISCARDED)
    )
