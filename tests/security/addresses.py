"""Addresses for every line of the router, with the codes and numbers of the book that is open."""

from collections.abc import Iterator
from random import Random

from django.apps import apps
from django.contrib.auth import get_user_model
from django.db.models import Max
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.urls.converters import IntConverter

from buffycoat.calculator.catalogue import CALCULATORS
from buffycoat.journal.models import Entry
from buffycoat.shell.addresses import CodeInAddress
from buffycoat.site.limits import LIMITS

PARTS = ("red-cells", "plasma", "whole-blood", "red-cells-1", "red-cells-2")
# A page that asks further once the address says what is in hand.
QUESTIONS = {
    "problem": ("about={code}",),
    "put-away": ("unit={unit}",),
    "draw-new": ("donor={donor}&lot={lot}&tare_g=260", "donor={donor}&lot={lot}&tare_g=40", "donor={donor}"),
    "donor-type": ("system=DEA 1", "system=AB", "system=Dal"),
    "spin-new": (
        "rotor={rotor}&programme=Hard dog",
        "rotor={rotor}&programme=Hard cat&bag={donation}",
        "rotor={rotor}&programme=Hard dog&with={donation}=734&fill=1",
    ),
    "sign-in-badge": ("code={badge}&next=/stock/",),
    "training-sign": ("trainee=robin&step=draw",),
}


def patterns(found: list[URLPattern | URLResolver] | None = None) -> Iterator[URLPattern]:
    for each in get_resolver().url_patterns if found is None else found:
        if isinstance(each, URLResolver):
            yield from patterns(each.url_patterns)
        else:
            yield each


class Known:
    """What there is to put into an address: read once, from the book and the tables beside it."""

    def __init__(self, chance: Random, badge: str) -> None:
        self.chance = chance
        self.codes: dict[str, list[str]] = {}
        lately = Entry.objects.values_list("stream", flat=True).annotate(last=Max("number")).order_by("-last")
        for stream in lately:
            kind, _, code = stream.partition("/")
            if len(code) == 14:
                self.codes.setdefault(kind, []).append(code)
        self.all_codes = [each for codes in self.codes.values() for each in codes]
        self.chance.shuffle(self.all_codes)
        self.codes["badge"] = [badge]
        divided = Entry.objects.filter(kind="unit-divided").values_list("stream", flat=True)
        self.codes["part"] = [stream.partition("/")[2] for stream in divided]
        self.people = list(get_user_model().objects.values_list("pk", flat=True))
        self.entries = list(Entry.objects.order_by("-number").values_list("number", flat=True)[:200])

    def _numbers(self, pattern: URLPattern) -> list[int]:
        """Those of the rows of the chapter that the page belongs to; of people for theirs, else of entries."""
        chapter = pattern.callback.__module__.split(".")[1]
        if chapter == "people":
            return self.people
        models = list(apps.get_app_config(chapter).get_models())
        own = [model for model in models if model.__name__.lower().startswith(_first_word(pattern))]
        rows = (model.objects.values_list("pk", flat=True) for model in own or models)
        return (
            [number for found in rows for number in found if isinstance(number, int)] or self.entries or [1]
        )

    def raw(self, view: str) -> str:
        """One address of a view, for what is sent to it without a page."""
        return self.chance.choice(self.addresses(next(each for each in patterns() if each.name == view), 1))

    def addresses(self, pattern: URLPattern, most: int) -> list[str]:
        """Some of those that the pattern fits, newest codes among them, with and without a question."""
        made = []
        for _ in range(most):
            converters = pattern.pattern.converters.items()
            values = {name: self._value(pattern, name, type(of)) for name, of in converters}
            address = reverse(pattern.name, kwargs=values) if pattern.name else "/"
            made.append(address)
            if asked := QUESTIONS.get(pattern.name or ""):
                made.append(f"{address}?{self._question(self.chance.choice(asked))}")
        return list(dict.fromkeys(made))

    def _value(self, pattern: URLPattern, name: str, kind: type) -> str | int:
        if kind is IntConverter:
            return self.chance.choice(self._numbers(pattern))
        words = {"part": list(PARTS), "key": list(LIMITS), "name": list(CALCULATORS)}
        if kind is not CodeInAddress:
            return self.chance.choice(words.get(name) or ["none"])
        word = _first_word(pattern)
        return self._code(word if word == "part" or name not in self.codes else name)

    def _code(self, name: str) -> str:
        found = self.codes.get(name) or self.all_codes or ["DHAVN000000138"]
        newest_first = name in self.codes
        return found[int(len(found) * self.chance.random() ** (3 if newest_first else 1))]

    def _question(self, asked: str) -> str:
        values = {name: self._code(name) for name in (*self.codes, "code")}
        return asked.format_map({"donor": "", "lot": "", "unit": "", "rotor": "", "donation": "", **values})


def _first_word(pattern: URLPattern) -> str:
    """`alarm` of `alarm-judge`."""
    return (pattern.name or "").partition("-")[0]
