"""Printed paper: templates in typst, bar codes, the packaged font. What people typed is data, never source."""

import json
import unicodedata
from base64 import b64encode
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import font_source_sans_pro
import typst
import zxingcpp
from django.conf import settings
from PIL import Image

from buffycoat.science.numbering import show_code
from buffycoat.shell.pictures.shapes import SPECIES
from buffycoat.shell.words import MINUS, NO_BREAK, moment

CODE_128, DATA_MATRIX, QR_CODE = "code-128", "data-matrix", "qr-code"
PACKAGE = Path(__file__).parents[1]
TYP = PACKAGE / "shell" / "typ"
PRINTER_DPI = 203  # of a label printer: eight dots to the millimetre
MOST_MARKS = 2  # accents on one letter; a tower of them would run into the line above

_FORMATS = {
    CODE_128: (zxingcpp.BarcodeFormat.Code128, {}),
    DATA_MATRIX: (zxingcpp.BarcodeFormat.DataMatrix, {"force_square": True}),
    QR_CODE: (zxingcpp.BarcodeFormat.QRCode, {}),
}
_STROKES = {
    "fur": 'fill="none" stroke="#000" stroke-width="3.2" stroke-linejoin="round"',
    "line": 'fill="none" stroke="#000" stroke-width="3" stroke-linecap="round" stroke-linejoin="round"',
    "solid": 'fill="#000"',
}


@dataclass(frozen=True, kw_only=True)
class Symbol:
    """A bar code as SVG without its quiet zone, and how many modules wide it is."""

    svg: str
    modules: int


@cache
def fonts() -> typst.Fonts:
    """One for the whole process: finding and reading fonts costs more than a label."""
    folder = Path(font_source_sans_pro.__file__).parent / "files"
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=[folder])


def symbol(text: str, symbology: str) -> Symbol:
    """The bar code of a text; a matrix is always square.

    >>> symbol("UKTRA000421717", CODE_128).modules, symbol("UKTRA000421717", DATA_MATRIX).modules
    (156, 16)
    """
    kind, options = _FORMATS[symbology]
    made = zxingcpp.create_barcode(text, kind, **options)
    modules = made.to_image(scale=1, add_quiet_zones=False).shape[1]
    return Symbol(svg=made.to_svg(add_quiet_zones=False), modules=modules)


def code_data(code: str) -> dict[str, Any]:
    """One of our codes for a template: its two symbols, and its groups with the last four of the serial apart."""
    shown = show_code(code)
    symbols = {"bars": asdict(symbol(code, CODE_128)), "matrix": asdict(symbol(code, DATA_MATRIX))}
    return {"shown": shown, "head": shown[:9], "four": shown[9:13], "tail": shown[13:], **symbols}


def species_svg(species: str) -> str:
    """The species in black lines, drawn as on the pages; empty where there is no drawing."""
    paths = SPECIES.get(species, "")
    for kind, strokes in _STROKES.items():
        paths = paths.replace(f'class="{kind}"', strokes)
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 64 64">{paths}</svg>' if paths else ""


def moment_and_zone(at: datetime, zone: ZoneInfo) -> str:
    """
    >>> from datetime import UTC
    >>> moment_and_zone(datetime(2026, 10, 24, 21, 59, tzinfo=UTC), ZoneInfo("Europe/Berlin"))
    '24 Oct 2026, 23:59 CEST (UTC+2)'
    >>> moment_and_zone(datetime(2026, 10, 24, 21, 59, tzinfo=UTC), ZoneInfo("America/St_Johns"))
    '24 Oct 2026, 19:29 NDT (UTC−2:30)'
    >>> moment_and_zone(datetime(2026, 10, 24, 21, 59, tzinfo=UTC), ZoneInfo("Asia/Dubai"))
    '25 Oct 2026, 01:59 UTC+4'
    """
    local = at.astimezone(zone)
    offset, name = local.utcoffset(), local.tzname() or ""
    minutes = round(offset.total_seconds() / 60) if offset else 0
    hours, rest = divmod(abs(minutes), 60)
    from_utc = (
        f"UTC{MINUS if minutes < 0 else '+'}{hours}" + (f":{rest:02d}" if rest else "") if minutes else "UTC"
    )
    named = f"{name} ({from_utc})" if name.isalpha() and name != "UTC" else from_utc
    return f"{moment(at, zone)} {named}"


def unbroken(text: str, *parts: str) -> str:
    """The text with these parts kept on one line.

    >>> unbroken("−18 °C or colder", " °C", "or colder").split(" ")
    ['−18\xa0°C', 'or\xa0colder']
    """
    for part in parts:
        text = text.replace(part, part.replace(" ", NO_BREAK))
    return text


def clean(text: str) -> str:
    """Text that cannot disturb a page: no line breaks, nothing that turns the reading order, no broken characters.

    >>> clean("Ro\\nver \\u202edog\\ud800")
    'Ro ver dog\ufffd'
    """
    kept: list[str] = []
    marks = 0
    for character in unicodedata.normalize("NFC", text):
        category = unicodedata.category(character)
        marks = marks + 1 if category in ("Mn", "Me") else 0
        if category in ("Cc", "Zl", "Zp"):
            kept.append(" ")
        elif category in ("Cs", "Co"):
            kept.append("\ufffd")
        elif category != "Cf" and marks <= MOST_MARKS:
            kept.append(character)
    return "".join(kept)


def _cleaned(value: Any) -> Any:
    match value:
        case str():
            return clean(value)
        case Mapping():
            return {key: _cleaned(each) for key, each in value.items()}
        case list() | tuple():
            return [_cleaned(each) for each in value]
    return value


def pdf(template: Path, data: Mapping[str, Any]) -> bytes:
    """The template, which reads `data` as its input. The same data gives the same bytes: no clock is read."""
    return _compiled(template, data)


def png(template: Path, data: Mapping[str, Any]) -> bytes:
    """The one page of the template as a label printer makes it: dots that are black or not, and so few bytes."""
    drawn = Image.open(BytesIO(_compiled(template, data, format="png", ppi=PRINTER_DPI))).convert("L")
    dots, file = drawn.point(lambda light: 255 if light > 180 else 0, "1"), BytesIO()  # thin strokes stay
    dots.save(file, "PNG", optimize=True)
    return file.getvalue()


def _compiled(template: Path, data: Mapping[str, Any], **how: Any) -> bytes:
    said = {"data": json.dumps(_cleaned(data)), "practice": "yes" if settings.PRACTICE else ""}
    return typst.compile(
        template, root=PACKAGE, sys_inputs=said, font_paths=fonts(), ignore_system_fonts=True, **how
    )


def photo_svg(jpeg: bytes) -> str:
    """A photo as a template can draw it; empty without one."""
    if not jpeg:
        return ""
    width, height = Image.open(BytesIO(jpeg)).size
    inside = (
        f'<image width="{width}" height="{height}" href="data:image/jpeg;base64,{b64encode(jpeg).decode()}"/>'
    )
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}">{inside}</svg>'


@dataclass(frozen=True, kw_only=True)
class Card:
    """A card to scan. `title` is what people call the thing, `strong` the one thing to know of it."""

    noun: str
    title: str
    code: str
    strong: str = ""
    species: str = ""
    lines: Sequence[str] = ()
    site_name: str
    photo: str = ""  # as SVG


def _card_data(card: Card) -> dict[str, Any]:
    return asdict(card) | {"code": code_data(card.code), "picture": species_svg(card.species)}


def one_card(card: Card) -> bytes:
    """A page of the size of a bank card, 85.6 × 54 mm."""
    return pdf(TYP / "cards.typ", {"sheet": False, "cards": [_card_data(card)]})


def sheet_of_cards(cards: Iterable[Card]) -> bytes:
    """A4 pages of ten cards each, with lines to cut along."""
    return pdf(TYP / "cards.typ", {"sheet": True, "cards": [_card_data(card) for card in cards]})
