"""Temperatures and alarms as people read them. Pure."""

from buffycoat.journal.facts import Fact
from buffycoat.science.numbering import show_code
from buffycoat.shell.words import scaled, with_unit
from buffycoat.temperatures.bands import CAUSES, NO_LOWER_C, Band
from buffycoat.temperatures.facts import (
    AlarmAcknowledged,
    AlarmEnded,
    AlarmOpened,
    AlarmTold,
    ExposureJudged,
    TemperatureRead,
    TemperaturesSealed,
    UnitExposed,
)
from buffycoat.temperatures.judging import VERDICTS


def degrees(centi_c: int) -> str:
    """
    >>> degrees(-1950).replace("\\u00a0", " "), degrees(400).replace("\\u00a0", " ")
    ('−19.5 °C', '4 °C')
    """
    return with_unit(scaled(centi_c, 2), "°C")


def band_words(band: Band) -> str:
    """
    >>> band_words(Band(low_c=2, high_c=6)), band_words(Band(low_c=-100, high_c=-18))
    ('2 to 6 °C', '−18 °C or colder')
    """
    if band.low_c == NO_LOWER_C:
        return f"{band.high_c} °C or colder".replace("-", "−")
    return f"{band.low_c} to {band.high_c} °C".replace("-", "−")


def said(fact: Fact) -> str:
    """One line of the journal; empty for what is no fact of this chapter."""
    match fact:
        case TemperatureRead():
            least, most = degrees(fact.least_centi_c), degrees(fact.most_centi_c)
            return f"{degrees(fact.now_centi_c)} now; {least} to {most} since the last time"
        case AlarmOpened():
            many = f", {len(fact.units)} units inside" if fact.units else ""
            return f"Alarm {fact.alarm}: {CAUSES[fact.cause].lower()} in {show_code(fact.place)}{many}"
        case AlarmEnded():
            worst = "" if fact.extreme_centi_c is None else f", {degrees(fact.extreme_centi_c)} at the worst"
            return f"Alarm {fact.alarm}{worst}"
        case AlarmAcknowledged():
            return f"Alarm {fact.alarm}: {fact.note}"
        case AlarmTold():
            return f"Alarm {fact.alarm} went to {fact.people} by e-mail"
        case UnitExposed():
            where = f"{CAUSES[fact.cause].lower()} in {show_code(fact.place)}"
            return f"{show_code(fact.unit)}: {where}, alarm {fact.alarm}"
        case ExposureJudged():
            said_by_rule = f"the rule said {VERDICTS[fact.rule].lower()}"
            told = f"{show_code(fact.unit)}: {VERDICTS[fact.verdict].lower()}; {said_by_rule}"
            return ". ".join(
                filter(None, (f"{told}: {fact.because}", fact.why, f"Decided by {fact.judged_by}"))
            )
        case TemperaturesSealed():
            span = f"{degrees(fact.least_centi_c)} to {degrees(fact.most_centi_c)}"
            return f"{fact.day:%d %b %Y}, {fact.readings} readings, {span}, excursions: {fact.excursions}"
    return ""
