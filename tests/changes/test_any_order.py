"""Whatever people do with a unit, in whatever order: it is in one place, its parts add up, and nothing that is out of
date, warmed or wrongly labelled is ever ready.

What must hold is reckoned here from the lines of the book alone, without the rules that are tried.
"""

from contextlib import suppress
from datetime import timedelta
from unittest.mock import patch

import pytest
from hypothesis import given, note, settings
from hypothesis import strategies as some

from buffycoat.changes.rules import (
    DivideUnit,
    FreezeUnit,
    IrradiateUnit,
    OpenUnit,
    SeparateCryo,
    ThawUnit,
    WeighPart,
)
from buffycoat.journal.facts import Refused
from buffycoat.labels.changes import Changes
from buffycoat.labels.facts import (
    CHANGES,
    LabelPrinted,
    LabelScannedBack,
    PartWeighed,
    UnitDiscarded,
    UnitDivided,
    UnitFrozen,
    UnitIrradiated,
    UnitOpened,
    UnitPutAway,
    UnitTakenOut,
    UnitThawed,
)
from buffycoat.labels.products import PRODUCTS
from buffycoat.labels.rules import Labelling, PrintLabel, ScanLabelBack
from buffycoat.science.changes_of_state import End
from buffycoat.separation.weighings import ProductWeighed
from buffycoat.site.rules import SetLimit
from buffycoat.storage.rules import DiscardUnit, PutAway, TakeOut
from buffycoat.storage.states import TABLE
from buffycoat.trace.effects import units
from tests.simulation.planted import nothing
from tests.walk import pure_walk, unknown

FIT = ("ready", "use first")
# 24 h and 28 d to the end of the day: 21 CFR 610.53 and UK guidelines, as the limits stand by default.
KEEPS = {UnitThawed: timedelta(hours=24), UnitOpened: timedelta(hours=24), UnitIrradiated: timedelta(days=29)}


def closed_or_open(unit, amount):
    return DivideUnit(unit=unit, parts=2, empty_g=20, closed=amount % 2 == 0)


WITH_A_UNIT = {
    "thaw": lambda unit, amount: ThawUnit(unit=unit, bath_c=36, minutes=20, over_bag=True),
    "open": lambda unit, amount: OpenUnit(unit=unit, reason="Spiked."),
    "irradiate": lambda unit, amount: IrradiateUnit(unit=unit, dose_gy=25),
    "freeze": lambda unit, amount: FreezeUnit(unit=unit, surface_c=amount % 14),
    "divide": closed_or_open,
    "cryo": lambda unit, amount: SeparateCryo(unit=unit, cryo_empty_g=20, poor_empty_g=20),
    "out": lambda unit, amount: TakeOut(unit=unit),
    "discard": lambda unit, amount: DiscardUnit(unit=unit, reason="Broken."),
}
NAMES = [
    *2 * [name for name in WITH_A_UNIT if name != "discard"],
    *"discard out out out weigh weigh weigh fridge freezer label label".split(),
    *10 * ["what comes next"],
]
PARTS = [f"{root}{tail}" for root in ("red-cells", "plasma") for tail in ("", "", "", "-1", "-2", "-1-1")]
STEPS = some.tuples(
    some.sampled_from(NAMES),
    some.sampled_from(PARTS),
    some.integers(0, 60),
    some.sampled_from([0, 0, 0, 0, 1, 1, 10, 31, 60 * 25, 60 * 24 * 200]),
)


def what_comes_next(walk, donation, part):
    """Weigh, label, or the place that suits its label: as somebody would who goes on with it."""
    labels, changes = walk.look(Labelling, donation), walk.look(Changes, donation)
    if part in changes.children and part not in changes.weighed:
        return "weigh"
    return PRODUCTS[labels.printed[part].product].kept_in if part in labels.labelled_at else "label"


def attempt(walk, donation, name, part, amount):
    """One step of a hand that knows no rules; now and then a label is printed once more, or not scanned back."""
    unit = walk.units(donation).get(part, unknown("U"))
    if name == "what comes next":
        name = what_comes_next(walk, donation, part)
    if name in WITH_A_UNIT:
        walk.do(WITH_A_UNIT[name](unit, amount))
    elif name == "weigh":
        walk.do(WeighPart(donation=donation, part=part, gross_g=20 + amount, explained="Spilled."))
    elif name == "label":
        walk.do(PrintLabel(donation=donation, part=part, reason="" if amount % 7 else "Smeared."))
        if amount % 7 != 1:
            walk.do(ScanLabelBack(donation=donation, unit=walk.units(donation)[part]))
    else:
        walk.do(PutAway(unit=unit, place=walk.a_place(name), looks_well=True))


@settings(deadline=None, max_examples=80)
@given(steps=some.lists(STEPS, min_size=5, max_size=40))
def test_in_any_order_of_steps_only_what_is_right_is_ready(steps):
    walk = pure_walk()
    donation = walk.on_the_shelf("cat")
    walk.do(SetLimit(key="refreeze", value="while cold", reason="invented"))
    for name, part, amount, minutes in steps:
        walk.wait(minutes=minutes)
        try:
            attempt(walk, donation, name, part, amount)
        except Refused:
            continue
        note(f"{name} {part} at {walk.at}")
        lines = list(walk.look.standing(f"donation/{donation}"))
        found = units(walk.look, donation, walk.at)
        assert [] == list(faults(lines, found, walk.at))


def faults(lines, found, at):
    parts = {fact.unit: fact.part for fact in _of(lines, LabelPrinted)}
    for unit, then in found.items():
        if then.status in FIT:
            yield from (f"{unit} is {then.status}: {why}" for why in why_unfit(lines, parts[unit], at))
        if then.place and then.status == "being made":
            yield f"{unit} is being made and stands in {then.place}"
    yield from masses_that_do_not_add_up(lines)


def why_unfit(lines, part, at):
    """From the lines of the book alone: why this part must not be given."""
    mine = [line for line in lines if getattr(line.fact, "part", "") == part]
    label, last = _last(mine, LabelPrinted), _last(mine, UnitPutAway)
    if at > label.fact.expires_at:
        yield "it is out of date"
    if _last(mine, LabelScannedBack).number < label.number:
        yield "its label was not scanned back"
    if any(line.number > label.number for line in mine if isinstance(line.fact, (*CHANGES, UnitDivided))):
        yield "it was changed after its label was printed"
    if any(isinstance(line.fact, UnitDiscarded) for line in mine):
        yield "it was discarded"
    if any(line.number > last.number for line in mine if isinstance(line.fact, UnitTakenOut | UnitDivided)):
        yield "it stands in no place"
    for line in mine:
        keeps = KEEPS.get(type(line.fact))
        if keeps and label.fact.expires_at > line.happened_at + keeps and not refrozen(mine, line):
            yield f"it is {line.fact.kind} and its label says a later date than that allows"
    yield from too_long_out(mine)


def refrozen(mine, change):
    return any(isinstance(line.fact, UnitFrozen) and line.number > change.number for line in mine)


def too_long_out(mine):
    """Half an hour at once and ninety minutes in all, from a take out to the next put away."""
    since, total = None, timedelta()
    for line in mine:
        if isinstance(line.fact, UnitTakenOut):
            since = line.happened_at
        elif isinstance(line.fact, UnitPutAway) and since:
            total += line.happened_at - since
            if line.happened_at - since > timedelta(minutes=30):
                yield "it was out for longer than half an hour"
            since = None
    if total > timedelta(minutes=90):
        yield "it was out for longer than ninety minutes in all"


def masses_that_do_not_add_up(lines):
    held = {fact.part: fact.content_g for fact in _of(lines, (ProductWeighed, PartWeighed))}
    for fact in _of(lines, UnitDivided):
        parts_g = sum(held.get(child.part, 0) for child in fact.children)
        if parts_g > held[fact.part] + 5:
            yield f"{parts_g} g came out of {held[fact.part]} g"


def _of(lines, kind):
    return [line.fact for line in lines if isinstance(line.fact, kind)]


def _last(lines, kind):
    return [line for line in lines if isinstance(line.fact, kind)][-1]


CELLS = "red-cells"
# What a hand does, and the rule that has to stop it: left out, the reckoning above finds the unit.
PLANTED = {
    "a unit comes back late": (
        ("storage.rules.why_not_back", nothing),
        [("out", CELLS, 0, 0), ("fridge", CELLS, 0, 40)],
    ),
    "an old label counts after a change": (
        ("labels.rules.CHANGES", ()),
        [("open", CELLS, 0, 0), ("fridge", CELLS, 0, 1)],
    ),
    "an opened unit keeps its date": (
        ("changes.states.end_after_changes", lambda end, zone, **change: End(end, "its own end")),
        [("open", CELLS, 0, 0), ("label", CELLS, 2, 1), ("fridge", CELLS, 0, 1)],
    ),
    "what is out of date is not stopped": (
        ("storage.states.TABLE", tuple(row for row in TABLE if row.when != "out of date")),
        [("out", CELLS, 0, 0), ("fridge", CELLS, 0, 1), ("open", "plasma-1", 0, 60 * 24 * 60)],
    ),
    "what was taken out is not stopped": (
        ("storage.states.TABLE", tuple(row for row in TABLE if "out of it" not in row.when)[-1:]),
        [("out", CELLS, 0, 0)],
    ),
    "more comes out than went in": (
        ("changes.weighing.WeighPart._why_they_do_not_add_up", nothing),
        [("divide", CELLS, 0, 0), ("weigh", f"{CELLS}-1", 60, 1), ("weigh", f"{CELLS}-2", 60, 1)],
    ),
}


def after(steps):
    """The faults that are found once these steps were tried."""
    walk = pure_walk()
    donation = walk.on_the_shelf("cat")
    for name, part, amount, minutes in steps:
        walk.wait(minutes=minutes)
        with suppress(Refused):
            attempt(walk, donation, name, part, amount)
    lines = list(walk.look.standing(f"donation/{donation}"))
    return list(faults(lines, units(walk.look, donation, walk.at), walk.at))


@pytest.mark.parametrize("fault", PLANTED)
def test_each_rule_is_missed_when_it_is_left_out(fault):
    """The control: the same steps are harmless with the rule and found without it."""
    (rule, instead), steps = PLANTED[fault]
    assert [] == after(steps)
    with patch(f"buffycoat.{rule}", instead):
        assert [] != after(steps)
