"""The one word for a unit at a moment, and why: a table. Its first row that is true counts.

No row is a guess about the bag: what is not known to be right is stop or waiting, never ready.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from buffycoat.site.rules import Limits

BEING_MADE, WAITING, READY, USE_FIRST, STOP, GONE = (
    "being made",
    "waiting",
    "ready",
    "use first",
    "stop",
    "gone",
)


@dataclass(frozen=True, kw_only=True)
class Seen:
    """What is known of a unit at a moment."""

    gone: bool = False
    expired: bool = False
    wrong_type: bool = False
    label_true: bool = True
    labelled: bool = True
    put_away: bool = True
    out: bool = False
    warm: bool = False
    held: bool = False
    soon: bool = False


@dataclass(frozen=True, kw_only=True)
class Row:
    """`when` in words is for people, `true` is the same for the program; `do` is what is to be done."""

    state: str
    when: str
    true: Callable[[Seen], bool]
    do: str
    source: str


OURS = "Our own judgement."
TABLE = (
    Row(
        state=GONE,
        when="discarded, or divided into parts",
        true=lambda unit: unit.gone,
        do="",
        source="21 CFR 606.165 and EU 2005/61: each unit is accounted for to its end.",
    ),
    Row(
        state=STOP,
        when="out of date",
        true=lambda unit: unit.expired,
        do="discard it",
        source="21 CFR 610.50 and 610.53.",
    ),
    Row(
        state=STOP,
        when="its label says another blood type than its donor has",
        true=lambda unit: unit.wrong_type,
        do="print its label again, or discard it",
        source=OURS,
    ),
    Row(
        state=STOP,
        when="changed since its label was printed: thawed, opened, irradiated, frozen",
        true=lambda unit: not unit.label_true,
        do="print its label again",
        source="21 CFR 606.121: the label says what the product is.",
    ),
    Row(
        state=STOP,
        when="in its place, or out of it, with a label that was not scanned back from the bag",
        true=lambda unit: not unit.labelled and (unit.put_away or unit.out),
        do="scan its label from the bag, or print another",
        source=OURS,
    ),
    Row(
        state=STOP,
        when="out of the fridge for longer than this site allows",
        true=lambda unit: unit.warm,
        do="discard it",
        source="30 min: AABB, as reported from Australia; each site sets its own.",
    ),
    Row(
        state=WAITING,
        when="a problem with it, with what it was divided from, with its donation, its donor or its bag set is open",
        true=lambda unit: unit.held,
        do="settle that first",
        source="UK Red Book 6.3: withdrawn until looked at. That a second person settles it is our own judgement.",
    ),
    Row(
        state=WAITING,
        when="out of the fridge, and its time runs",
        true=lambda unit: unit.out,
        do="give it, or bring it back in time",
        source="As above.",
    ),
    Row(
        state=BEING_MADE,
        when="not put away yet",
        true=lambda unit: not unit.put_away,
        do="put it away",
        source=OURS,
    ),
    Row(
        state=USE_FIRST,
        when="soon out of date",
        true=lambda unit: unit.soon,
        do="give it before others",
        source="Oldest first lost 15 units where others lost 96 in a year (JVECC 2015;25:679).",
    ),
    Row(state=READY, when="none of these", true=lambda unit: True, do="", source=OURS),
)


def row_of(unit: Seen) -> Row:
    return next(row for row in TABLE if row.true(unit))


def seen_at(
    *,
    labelled: bool,
    put_away: bool,
    gone: bool,
    wrong_type: bool,
    held: bool,
    expires_at: datetime,
    at: datetime,
    site: Limits,
    label_true: bool = True,
    out: bool = False,
    warm: bool = False,
) -> Seen:
    return Seen(
        gone=gone,
        expired=at > expires_at,
        wrong_type=wrong_type,
        label_true=label_true,
        labelled=labelled,
        put_away=put_away,
        out=out,
        warm=warm,
        held=held,
        soon=expires_at - at <= timedelta(days=site.whole("use_first_days")),
    )
