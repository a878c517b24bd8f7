"""From the scale into the record: a page shows the window of its step, and its form says how the weight came in.

The server signs each reading that stands still. The page puts it into a hidden field beside the number; if the number
is then typed over, the reading no longer fits it, and the weight counts as typed.
"""

import math
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from django import forms
from django.core import signing

from buffycoat.benches.lines import read_alone
from buffycoat.benches.live import Shown
from buffycoat.benches.models import Bench
from buffycoat.shell.words import grams

SALT = "buffycoat.benches.reading"
STILL_GOOD_S = 12 * 3600  # one working day; when it was read stands in the record
TYPED_BY_SCALE = "keys:"
LONGEST = 200


@dataclass(frozen=True, kw_only=True)
class Window:
    """What a step expects on the scale. `auto`: a weight that stands still inside it is taken without a touch.

    `stop_g` is where pressing or drawing ends; such a page never takes a weight by itself, for a scale cannot tell a
    full bag from one that fills slowly.
    """

    field: str
    least_g: int
    most_g: int
    auto: bool = False
    stop_g: int | None = None
    empty_g: int = 0  # of the empty bag, where it may hang on the scale too

    @property
    def span_g(self) -> int:
        """How much the bar shows: the window lies in its middle, or the stop mass near its end."""
        return max(
            1,
            math.ceil((self.stop_g + self.empty_g) * 1.15)
            if self.stop_g
            else 2 * (self.most_g - self.least_g),
        )

    @property
    def from_g(self) -> int:
        return 0 if self.stop_g else self.least_g - (self.most_g - self.least_g) // 2

    @property
    def middle_g(self) -> int:
        return (self.least_g + self.most_g) // 2

    @property
    def words(self) -> str:
        return f"{self.least_g:,} to {grams(self.most_g)}".replace(",", "\u202f")

    def percent(self, mass_g: int) -> float:
        return round(100 * min(1, max(0, (mass_g - self.from_g) / self.span_g)), 1)

    @property
    def bar(self) -> tuple[float, float]:
        """Where the window begins on the bar and how wide it is, in percent of it."""
        start = self.percent(self.least_g)
        return start, round(self.percent(self.most_g) - start, 1)

    @property
    def stop_percent(self) -> float | None:
        return None if self.stop_g is None else self.percent(self.stop_g)


def signed(bench: Bench, shown: Shown) -> str:
    """A reading as the page may hand it back."""
    assert shown.takable
    read_at = datetime.now(UTC).isoformat(timespec="seconds")
    return signing.dumps([shown.g, bench.name, shown.raw, shown.net, read_at], salt=SALT, compress=True)


class ReadingField(forms.CharField):
    """Hidden. Gives (grams, words for the record), or None where nothing came from a scale."""

    widget = forms.HiddenInput

    def __init__(self) -> None:
        super().__init__(required=False, max_length=1000)

    def clean(self, value: Any) -> tuple[int, str] | None:
        return reading_of(super().clean(value))

    def widget_attrs(self, widget: forms.Widget) -> dict[str, str]:
        return {"data-reading": ""}


def reading_of(text: str) -> tuple[int, str] | None:
    if text.startswith(TYPED_BY_SCALE):
        weight = read_alone(text.removeprefix(TYPED_BY_SCALE))
        return (
            (weight.g, f"typed by the scale: {weight.raw}"[:LONGEST])
            if weight and weight.g is not None
            else None
        )
    try:
        g, bench, raw, net, read_at = signing.loads(text, salt=SALT, max_age=STILL_GOOD_S)
    except signing.BadSignature:
        return None  # made up, or of yesterday: then the number counts as typed
    net_words = ", net" if net else ""
    return g, f"{bench}: {raw.strip()} (still{net_words}, {read_at})"


def scale_of(values: dict[str, Any], field: str) -> str:
    """What the record says of how a weight came in: the scale and its line, or nothing where it was typed."""
    reading = values.get("reading")
    return reading[1] if reading and reading[0] == values.get(field) else ""
