"""What a correction does to what people have in hand: told before anyone confirms it.

The book is folded twice, as it stands and without the lines to be struck; what differs is the effect.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from buffycoat.donors.rules import Donor
from buffycoat.draws.models import DonationRow
from buffycoat.draws.rules import Draw
from buffycoat.journal.book import Book, standing
from buffycoat.journal.facts import Line, Lines, Look
from buffycoat.labels.products import PRODUCTS
from buffycoat.labels.rules import Labelling
from buffycoat.problems.rules import why_held
from buffycoat.science.numbering import KINDS, show_code
from buffycoat.site.rules import LimitSet, limits
from buffycoat.storage.places import Place
from buffycoat.storage.rules import GONE, STOP, Shelf, status
from buffycoat.storage.stock import why_stop
from buffycoat.trace.jobs import next_step
from buffycoat.trace.stories import STREAMS


class Without(Book):
    """The book as it would stand without some of its lines."""

    def __init__(self, lines: Iterable[Line]) -> None:
        self.left_out = {line.number for line in lines}

    def standing(self, stream: str) -> Lines:
        return Lines(line for line in standing(stream) if line.number not in self.left_out)


@dataclass(frozen=True, kw_only=True)
class UnitThen:
    name: str
    place: str
    status: str
    copy: int
    labelled: bool
    held: str
    because: str


@dataclass(frozen=True, kw_only=True)
class Effects:
    """`stops` counts the units on the shelf that will show stop; `sentences` tells everything, one by one."""

    stops: int
    sentences: tuple[str, ...]


def effects_of(lines: Sequence[Line], at: datetime) -> Effects:
    before, after = Book(), Without(lines)
    stops, sentences = 0, list(_of_things(lines))
    for donation in _donations(lines):
        was, then = units(before, donation, at), units(after, donation, at)
        stops += sum(_stopped(was[unit], now) for unit, now in then.items())
        sentences += filter(None, (_of_unit(now, then.get(unit)) for unit, now in was.items()))
        sentences += _of_donation(before, after, donation)
    return Effects(stops=stops, sentences=tuple(dict.fromkeys(sentences)))


def units(look: Look, donation: str, at: datetime) -> dict[str, UnitThen]:
    """Every unit that was ever labelled, as it stands by that book."""
    draw, labels, shelf = look(Draw, donation), look(Labelling, donation), look(Shelf, donation)
    if draw.started is None:
        return {}
    donor_type, site, found = look(Donor, draw.started.donor).blood_type, limits(look), {}
    for part, label in labels.printed.items():
        put, labelled = shelf.put_away.get(part), part in labels.labelled_at
        place = look(Place, put.place).opened if put else None
        held = "; ".join(why_held(look, donation, part))
        outings, label_true = shelf.out_of(part), part not in labels.untrue
        found[label.unit] = UnitThen(
            name=f"{PRODUCTS[label.product].name} {show_code(label.unit)}",
            place=place.name if place else "",
            status=status(
                labelled=labelled,
                put_away=put is not None,
                gone=bool(shelf.gone(part)) or bool(draw.discarded),
                wrong_type=label.blood_type != donor_type,
                held=bool(held),
                label_true=label_true,
                out=outings.since is not None,
                warm=outings.warm(at, site),
                expires_at=label.expires_at,
                at=at,
                site=site,
            ),
            copy=label.copy,
            labelled=labelled,
            held=held,
            because=why_stop(
                labelled=labelled,
                label_type=label.blood_type,
                donor_type=donor_type,
                expired=at > label.expires_at,
                label_true=label_true,
                warm=outings.warm(at, site),
            ),
        )
    return found


def _donations(lines: Iterable[Line]) -> list[str]:
    """The donations written to, and those of a donor written to: their labels carry its type."""
    found: list[str] = []
    for line in lines:
        chapter, _, code = line.stream.partition("/")
        if chapter == Draw.stream:
            found.append(code)
        elif chapter == Donor.stream:
            found += DonationRow.objects.filter(donor_id=code).values_list("donation", flat=True)
    return list(dict.fromkeys(found))


def _of_unit(was: UnitThen, then: UnitThen | None) -> str:
    if then is None:
        return f"{was.name} is no unit any more: take its label off and destroy it."
    if _stopped(was, then):
        where = f" in {then.place}" if then.place else ""
        return f"{then.name}{where} will show stop: {then.because}."
    if was.status == GONE and then.status != GONE:
        where = f" in {then.place}" if then.place else ""
        return f"{then.name} counts again, {then.status}{where}: only if the bag is really there."
    if was.place and not then.place:
        return f"{then.name} leaves the stock and waits to be put away."
    if was.place != then.place:
        return f"{then.name} stands in {then.place} again, and in {was.place} no more."
    if was.copy != then.copy:
        return f"{then.name}: copy {then.copy} of its label counts again. Destroy copy {was.copy}."
    if was.labelled and not then.labelled:
        return f"{then.name}: its label waits to be scanned back."
    if was.held != then.held and then.status != GONE:
        return (
            f"{then.name} will wait: {then.held}."
            if then.held
            else f"{then.name} waits no more: {then.status}."
        )
    return f"{then.name} will be {then.status}." if was.status != then.status else ""


def _stopped(was: UnitThen, then: UnitThen) -> bool:
    return then.status == STOP and was.status != STOP


def _of_donation(before: Look, after: Look, donation: str) -> Iterator[str]:
    code = show_code(donation)
    if after(Draw, donation).started is None:
        yield f"Donation {code} leaves all lists. Destroy its stickers: its number leads nowhere any more."
        return
    was, then = next_step(before, donation), next_step(after, donation)
    if then and (was is None or was.words != then.words):
        yield f"Next for {code}: {then.words[0].lower()}{then.words[1:]}."


def _of_things(lines: Iterable[Line]) -> Iterator[str]:
    """What is neither donation nor unit: a donor's type, a limit, a thing with a card."""
    without = Without(lines)
    for line in lines:
        chapter, _, code = line.stream.partition("/")
        if isinstance(line.fact, LimitSet):
            yield "Labels that were printed keep their date; what is done from now on follows the limit before."
        elif chapter == Donor.stream and line.version > 1:
            was, then = Book()(Donor, code), without(Donor, code)
            if was.blood_type != then.blood_type and was.registered:
                now = f"will be {then.blood_type}" if then.typed else "will not be known any more"
                yield f"The blood type of {was.registered.name} {now}; it was {was.blood_type}."
        elif chapter in STREAMS.values() and chapter not in (Draw.stream, "unit") and line.version == 1:
            yield f"The {KINDS[code[0]]} {show_code(code)} leaves all lists. Destroy what carries its number."
