"""What scales write: a line of text becomes a weight, a trouble in words, or nothing that is believed.

A shape is described by a pattern with named groups: `sign`, `number`, `unit`, `mark` (what the scale says of the
weight: still, moving, too heavy, too light) and `kind` (gross or net). A site may describe its own.
"""

import re
from collections import deque
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal

STILL, MOVING, OVER, UNDER = "still", "moving", "over", "under"
WEIGHT = r"(?P<sign>[+-]?)[ ]*(?P<number>\d{1,7}(?:[.,]\d{1,4})?)[ ]*(?P<unit>[A-Za-z]{1,3})"
MG_IN = {"g": 1_000, "kg": 1_000_000, "mg": 1}
OTHER_UNITS = {"lb": "pounds", "lbs": "pounds", "oz": "ounces", "ct": "carats", "gn": "grains", "t": "tonnes"}
LONGEST = 120  # characters without an end of line: no scale writes so much, it is noise
LINES_TO_KNOW = 3


@dataclass(frozen=True, kw_only=True)
class Shape:
    """`marks` says what each mark of this scale means; a line without a mark says nothing of it."""

    name: str
    pattern: re.Pattern[str]
    marks: Mapping[str, str] = field(default_factory=dict)
    unit: str = ""  # where the scale sends none


@dataclass(frozen=True, kw_only=True)
class Weight:
    """`still` is None where the scale does not say; `mg` is None where `trouble` says why."""

    raw: str
    mg: int | None = None
    still: bool | None = None
    net: bool = False
    trouble: str = ""

    @property
    def g(self) -> int | None:
        """Whole grams, half up, as the fields of the bench take them."""
        return None if self.mg is None else int((Decimal(self.mg) / 1000).to_integral_value(ROUND_HALF_UP))


def shape(name: str, pattern: str, marks: Mapping[str, str] | None = None, unit: str = "") -> Shape:
    """A shape from its description; a description without a number is refused in words."""
    try:
        compiled = re.compile(pattern)
    except re.error as error:
        raise ValueError(f"The pattern of the scale's lines is no regular expression: {error}.") from None
    if "number" not in compiled.groupindex:
        raise ValueError("The pattern of the scale's lines needs a group (?P<number>…).")
    if "unit" not in compiled.groupindex and unit not in MG_IN:
        raise ValueError(
            "The pattern has no group (?P<unit>…): say which unit the scale sends (g, kg or mg)."
        )
    return Shape(name=name, pattern=compiled, marks=marks or {}, unit=unit)


MARKS = {
    "ST": STILL,
    "S": STILL,
    "US": MOVING,
    "SD": MOVING,
    "U": MOVING,
    "D": MOVING,
    "M": MOVING,
    "?": MOVING,
}
MARKS |= {"OL": OVER, "+": OVER, "UL": UNDER, "-": UNDER}
BLANK = "(?P<blank>[ +*-]*)"  # of a display that shows no figure
SHAPES = (
    # ST,GS,+  123.4 g
    shape("mark, kind, weight", rf"(?P<mark>ST|US|OL|UL),(?P<kind>GS|NT|TR),(?:[ ]*{WEIGHT}|{BLANK})", MARKS),
    # S S      123.4 g, and S + where the pan holds too much
    shape("answer, mark, weight", rf"S[ ]+(?P<mark>S|D)[ ]+{WEIGHT}|S[ ]+(?P<full>[+-])", MARKS),
    # N  +0123 g
    shape("kind, weight", rf"(?P<kind>[GNTB])[ ]+{WEIGHT}[ ]*(?P<mark>[SU?]?)", MARKS),
    # 123.4 g  S, and 123 g ?
    shape("weight, mark", rf"[ ]*{WEIGHT}[ ]*(?P<mark>ST|US|[SUDM?]?)[ ]*", MARKS),
)
NET = ("NT", "N")


def read(line: str, by: Shape) -> Weight | None:
    """What a line says in that shape; None if it is not of it."""
    found = by.pattern.fullmatch(line)
    if found is None:
        return None
    said = {name: value for name, value in found.groupdict().items() if value is not None}
    mark = by.marks.get(said.get("mark") or said.get("full") or "", "")
    net = said.get("kind", "") in NET
    if mark in (OVER, UNDER):
        return Weight(raw=line, net=net, trouble=TOO[mark])
    if "number" not in said:
        return Weight(raw=line, net=net, trouble="The scale shows no weight.")
    unit = said.get("unit", by.unit)
    if (factor := MG_IN.get(unit.lower())) is None:
        shown = OTHER_UNITS.get(unit.lower(), "another unit")
        return Weight(raw=line, net=net, trouble=f"The scale shows {shown} ({unit}). Set the scale to g.")
    amount = Decimal(said["number"].replace(",", ".")) * factor
    mg = int(amount.to_integral_value(ROUND_HALF_UP)) * (-1 if said.get("sign") == "-" else 1)
    return Weight(raw=line, mg=mg, still={STILL: True, MOVING: False}.get(mark), net=net)


TOO = {
    OVER: "There is more on the scale than it can weigh. Take it off.",
    UNDER: "The scale shows less than nothing: set the pan on, and set it to nought.",
}


class Listener:
    """Turns what comes from the cable into lines, finds the scale's shape, and believes only whole lines of it.

    The first line after the cable is in may be half a line: it is left out. So is a line of another length than the
    one before, unless the next one has that length too: a figure that was lost on the way makes a line shorter.
    """

    def __init__(self, own: Shape | None = None) -> None:
        self.shape = own
        self._text = ""
        self._whole = False
        self._first: deque[str] = deque(maxlen=LINES_TO_KNOW)
        self._length = 0
        self._says_still = False

    def restart(self) -> None:
        """The cable was out: what comes first may be the end of a line."""
        self._text, self._whole = "", False

    def hear(self, heard: bytes) -> Iterator[Weight]:
        for line in self._lines(heard):
            if self.shape is None:
                self._find_shape(line)
            if self.shape and (weight := self._believed(line)):
                yield weight

    def _lines(self, heard: bytes) -> Iterator[str]:
        self._text += heard.decode("ascii", errors="replace")
        *lines, self._text = re.split(r"[\r\n\x02\x03]+", self._text)
        if len(self._text) > LONGEST:
            self._text, self._whole = "", False
        for line in lines:
            if self._whole and line.strip():
                yield line
            self._whole = True

    def _find_shape(self, line: str) -> None:
        self._first.append(line)
        if len(self._first) == LINES_TO_KNOW:
            self.shape = next(
                (each for each in SHAPES if all(read(line, each) for line in self._first)), None
            )
            self._length = len(line)

    def _believed(self, line: str) -> Weight | None:
        assert self.shape
        usual, self._length = self._length, len(line)
        weight = read(line, self.shape) if len(line) == usual else None
        if weight and weight.still:
            self._says_still = True
        if (
            weight and weight.still is None and self._says_still
        ):  # it marks what is still, and did not mark this
            return Weight(raw=weight.raw, mg=weight.mg, still=False, net=weight.net, trouble=weight.trouble)
        return weight


class Steadiness:
    """Whether a weight stands still: by the scale's own word, or, where it says nothing, by its readings.

    By readings it is still when they have stayed within `within_mg` of each other for `for_s` seconds.
    """

    def __init__(self) -> None:
        self._low = self._high = self._since_s = 0.0
        self._any = False

    def judge(self, weight: Weight, at_s: float, within_mg: int, for_s: float) -> bool:
        if weight.mg is None:
            self._any = False
            return False
        low, high = min(self._low, weight.mg), max(self._high, weight.mg)
        if not self._any or high - low > within_mg:
            self._any, self._since_s, low, high = True, at_s, weight.mg, weight.mg
        self._low, self._high = low, high
        return weight.still if weight.still is not None else at_s - self._since_s >= for_s


def read_alone(line: str, shapes: Iterable[Shape] = SHAPES) -> Weight | None:
    """One line without any before it, as a scale types it like a keyboard."""
    return next((weight for each in shapes if (weight := read(line.strip(), each))), None)
