"""What is said of a change in one line."""

from zoneinfo import ZoneInfo

from buffycoat.journal.facts import Fact
from buffycoat.labels.facts import (
    Becomes,
    Child,
    PartWeighed,
    UnitDivided,
    UnitFrozen,
    UnitIrradiated,
    UnitOpened,
    UnitTakenOut,
    UnitThawed,
)
from buffycoat.labels.products import PRODUCTS
from buffycoat.science.numbering import show_code
from buffycoat.shell.words import celsius, grams, millilitres, moment


def said(fact: Fact, zone: ZoneInfo) -> str:
    """Nothing for what is no change of state."""
    match fact:
        case UnitTakenOut():
            return f"{show_code(fact.unit)} out of {show_code(fact.place)}"
        case UnitThawed():
            bath = f"{fact.minutes} min in a bath of {celsius(fact.bath_c)}"
            return f"{show_code(fact.unit)}, {bath}. {_now(fact.becomes, zone)}"
        case UnitOpened():
            return f"{show_code(fact.unit)}: {fact.reason}. {_now(fact.becomes, zone)}"
        case UnitIrradiated():
            return f"{show_code(fact.unit)}, {fact.dose_gy} Gy. {_now(fact.becomes, zone)}"
        case UnitFrozen():
            return f"{show_code(fact.unit)}. {_now(fact.becomes, zone)}"
        case UnitDivided():
            how = "closed" if fact.closed else "air got in"
            parts = ", ".join(_named(child) for child in fact.children)
            return f"{show_code(fact.unit)} into {parts}; {how}"
        case PartWeighed():
            words = f"{in_words(fact.part)}: {grams(fact.content_g)} = {millilitres(fact.volume_ml)}"
            return ". ".join(filter(None, (words, fact.explained)))
    return ""


def in_words(part: str) -> str:
    return part.replace("-", " ").capitalize()


def _named(child: Child) -> str:
    made = f" ({PRODUCTS[child.becomes.product].name.lower()})" if child.becomes else ""
    return f"{in_words(child.part).lower()}{made}"


def _now(becomes: Becomes, zone: ZoneInfo) -> str:
    product = PRODUCTS[becomes.product].name
    return f"{product} until {moment(becomes.expires_at, zone)}: {becomes.because}"
