"""Faults planted in rules, journal and registers: each is one small change, and the simulation must find every one."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import timedelta
from typing import Any
from unittest.mock import patch

from buffycoat.donors import may_give as donors
from buffycoat.draws import rules as draws
from buffycoat.journal import book, facts, record, registers, strike
from buffycoat.labels import changes
from buffycoat.labels import rules as labels
from buffycoat.labels.products import PRODUCTS
from buffycoat.separation import rules as separation
from buffycoat.separation import weighings
from buffycoat.spins import rules as spins
from buffycoat.storage import rules as storage

Fault = Callable[[], Any]


def nothing(*_: Any, **__: Any) -> Iterator[str]:
    """A check that was dropped."""
    return iter(())


def without(owner: Any, name: str) -> Fault:
    return lambda: patch.object(owner, name, nothing)


def reasons_without(owner: Any, *words: str) -> Fault:
    """A rule that lets pass what these words would refuse."""
    before = owner.why_not

    def fewer(self: Any, look: Any, at: Any) -> Iterator[str]:
        return (each for each in before(self, look, at) if not any(word in each for word in words))

    return lambda: patch.object(owner, "why_not", fewer)


def facts_with(owner: Any, kind: type, change: Callable[[Any], Any]) -> Fault:
    """A command that writes something a little different."""
    before = owner.facts

    def other(self: Any, look: Any, at: Any) -> Iterator[tuple[str, Any]]:
        for stream, fact in before(self, look, at):
            yield stream, change(fact) if isinstance(fact, kind) else fact

    return lambda: patch.object(owner, "facts", other)


def half_written(owner: Any) -> Fault:
    before = owner.facts
    return lambda: patch.object(owner, "facts", lambda *a: iter(list(before(*a))[:1]))


def grounds(kind: type, *, but: type) -> Fault:
    return lambda: patch.object(kind, "builds_on", tuple(each for each in kind.builds_on if each is not but))


def _a_day_longer(product: Any, state: Any, site: Any, of: Any = changes.expires_at) -> Any:
    return of(product, state, site) + timedelta(days=1)


IN_RULES: dict[str, Fault] = {
    "the check of too much plasma is dropped": without(separation.ExpressPlasma, "_why_not_so_much"),
    "mass is off by one gram": facts_with(
        draws.FinishDraw, draws.DrawFinished, lambda fact: replace(fact, blood_g=fact.blood_g + 1)
    ),
    "the additive is forgotten in the sum": facts_with(
        weighings.WeighProduct,
        weighings.ProductWeighed,
        lambda fact: replace(fact, expected_g=fact.expected_g - 100 * (fact.part == "red-cells")),
    ),
    "a weight that does not fit is taken without a word": without(
        weighings.WeighProduct, "_why_it_does_not_fit"
    ),
    "a strike ignores what stands on the entry": without(strike, "_standing_on"),
    "clots stand on nothing": grounds(separation.ClotsLookedFor, but=separation.PlasmaExpressed),
    "a bag spun again stands on no spin before": lambda: patch.object(
        spins.BagPutInSpin, "stands_on", lambda self, earlier: isinstance(earlier, draws.DrawFinished)
    ),
    "a date is a day too late": lambda: patch.object(changes, "expires_at", _a_day_longer),
    "the label has the type of no donor": facts_with(
        labels.PrintLabel, labels.LabelPrinted, lambda fact: replace(fact, blood_type="DEA 1 unclear")
    ),
    "every copy of a label is the first": facts_with(
        labels.PrintLabel, labels.LabelPrinted, lambda fact: replace(fact, copy=1)
    ),
    "a unit's name leads to another part": facts_with(
        labels.PrintLabel, labels.UnitNamed, lambda fact: replace(fact, part="soup")
    ),
    "the unit is not named": half_written(labels.PrintLabel),
    "half of a draw is written": half_written(draws.StartDraw),
    "put away before the label is scanned back": reasons_without(storage.PutAway, "not scanned back"),
    "put away though it expired": reasons_without(storage.PutAway, "expired on", "Late", "Too late"),
    "put away in the wrong cold": reasons_without(storage.PutAway, "belongs in a"),
    "a discarded unit is put away": lambda: patch.object(
        storage, "why_not_unit", lambda look, unit, at: _only_known(look, unit)
    ),
    "times go back": reasons_without(separation.ExpressPlasma, "cannot be earlier"),
    "a donor gives too soon": lambda: patch.object(
        donors, "may_give_again_on", lambda of, at, site: at.date()
    ),
    "two species in one spin": without(spins.StartSpin, "_why_not_one_species"),
    "pressed though poorly separated": reasons_without(separation.ExpressPlasma, "poorly", "not spun yet"),
    "pressed twice": reasons_without(separation.ExpressPlasma, "weighed already"),
    "a refusal says nothing": lambda: patch.object(
        separation.KeepWhole, "why_not", lambda self, look, at: iter([""])
    ),
    "a rule does not know a product": lambda: patch.object(
        storage, "PRODUCTS", {key: each for key, each in PRODUCTS.items() if key != "whole-blood"}
    ),
}


def _only_known(look: Any, unit: str) -> Iterator[str]:
    if look(labels.UnitName, unit).named is None:
        yield "No unit has this number."


def _version(values: dict[str, Any], of: Any = book.canonical) -> str:
    left_out = values["stream"].startswith("donation/") and values["version"] == 4
    return of({**values, "version": values["version"] + left_out})


def _wrong_seal(previous: str, line: str, of: Any = book.seal) -> str:
    return of(previous[::-1], line)


def _append(facts: Any, *, of: Any = record.append, **how: Any) -> Any:
    return of(list(facts)[:1], **how)


def _skipped(stream: str, *lines: Any, of: Any = registers.post) -> None:
    if not stream.startswith("spin/"):
        of(stream, *lines)


def _latest_first(stream: str, of: Any = book.standing) -> Any:
    lines = of(stream)
    return book.Lines(
        sorted(lines, key=lambda line: line.happened_at, reverse=stream.startswith("donation/"))
    )


@contextmanager
def _refused_too_late() -> Iterator[None]:
    """What is refused was written before."""
    real = record.append

    def first_write(facts: Any, **how: Any) -> Any:
        lines = real(facts, **how)
        return lines + real(facts, **how) if how["by"] == "kim" else lines

    with patch.object(record, "append", first_write):
        yield


IN_JOURNAL: dict[str, Fault] = {
    "a version is left out": lambda: patch.object(book, "canonical", _version),
    "the seal is over another hash": lambda: patch.object(book, "seal", _wrong_seal),
    "a command is half written": lambda: patch.object(record, "append", _append),
    "a command's number is ignored": lambda: patch.object(record, "_recorded_before", lambda *_: None),
    "struck entries count": lambda: patch.object(facts, "strikes_among", lambda lines: {}),
    "a register is not posted": lambda: patch.object(record, "post", _skipped),
    "lines are ordered by when it happened": lambda: patch.object(book, "standing", _latest_first),
    "a strike is written twice": _refused_too_late,
    "the head stays behind": lambda: patch.object(book, "update", lambda head: None),
}
