"""What is on the shelves, by kind and one by one, the first to expire first."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from buffycoat.journal.book import Book
from buffycoat.labels.products import PRODUCTS
from buffycoat.site.rules import limits
from buffycoat.storage.pictures import on_the_strip, shelf_strip
from buffycoat.storage.stock import StockedUnit
from buffycoat.storage.stock import stock as units_in_stock

ASKED = {"species": "Species", "product": "Product", "blood_type": "Blood type"}


@dataclass(frozen=True, kw_only=True)
class Kind:
    """Units of one species, product and blood type; `query` shows only these."""

    product: str
    blood_type: str
    count: int
    first: datetime
    query: str


@dataclass(frozen=True, kw_only=True)
class Choice:
    """One value of a filter as a link that leaves the other filters as they are."""

    words: str
    query: str
    chosen: bool


@require_safe
def stock(request: HttpRequest) -> HttpResponse:
    now, site = datetime.now(UTC), limits(Book())
    everything = units_in_stock(now, site)
    asked = {name: value for name in ASKED if (value := request.GET.get(name, ""))}
    units = [unit for unit in everything if all(_value(unit, name) == value for name, value in asked.items())]
    soon = on_the_strip(units, now)
    shown = {
        "kinds": _kinds(everything),
        "units": units,
        "asked": ", ".join(_words(name, value) for name, value in asked.items()),
        "filters": [(title, _choices(everything, asked, name)) for name, title in ASKED.items()],
        "strip": shelf_strip(soon, now, site) if soon else None,
        "later": len(units) - len(soon),
    }
    return render(request, "storage/stock.html", shown)


def _value(unit: StockedUnit, name: str) -> str:
    return str(getattr(unit.row, name))


def _words(name: str, value: str) -> str:
    if name == "product":
        return PRODUCTS[value].name if value in PRODUCTS else value
    return value.capitalize() if name == "species" else value


def _kinds(units: Iterable[StockedUnit]) -> list[tuple[str, list[Kind]]]:
    """By species: how many of each kind, and the first day on which one of them expires."""
    found: defaultdict[tuple[str, ...], list[StockedUnit]] = defaultdict(list)
    for unit in units:
        found[tuple(_value(unit, name) for name in ASKED)].append(unit)
    by_species: defaultdict[str, list[Kind]] = defaultdict(list)
    for values, same in sorted(found.items()):
        species, product, blood_type = values
        kind = Kind(
            product=PRODUCTS[product].name,
            blood_type=blood_type,
            count=len(same),
            first=same[0].row.expires_at,
            query=urlencode(dict(zip(ASKED, values, strict=True))),
        )
        by_species[species].append(kind)
    return list(by_species.items())


def _choices(units: Iterable[StockedUnit], asked: dict[str, str], name: str) -> list[Choice]:
    """All, and each value that is on the shelves with the other filters as they are."""
    others = {key: value for key, value in asked.items() if key != name}
    fitting = [unit for unit in units if all(_value(unit, key) == value for key, value in others.items())]
    values = sorted({_value(unit, name) for unit in fitting})
    chosen = asked.get(name, "")
    return [Choice(words="All", query=urlencode(others), chosen=not chosen)] + [
        Choice(words=_words(name, value), query=urlencode({**others, name: value}), chosen=value == chosen)
        for value in values
    ]
