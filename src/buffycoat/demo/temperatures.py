"""The demo's fridges and freezers: a week of readings each, and one warm hour that waits for somebody to take it."""

import math
from collections.abc import Callable
from datetime import datetime, timedelta
from random import Random

from buffycoat.demo.house import House
from buffycoat.temperatures.keeping_readings import add
from buffycoat.temperatures.models import LOGGER, Thermometer
from buffycoat.temperatures.sealing import seal_days
from buffycoat.temperatures.series import Series, series_of
from buffycoat.temperatures.watching import look_at

SEED = 36
EVERY = timedelta(minutes=10)
DAYS = 4
OPENED_BEFORE = timedelta(hours=6)  # the door was left ajar so long before the story ends
AJAR = timedelta(minutes=90)
WARM_DOOR = "Fridge cats"

Course = Callable[[datetime], float]


def measures(house: House, until: datetime) -> None:
    """Readings come in twice: while the door stands ajar, when the alarm opens, and after it was shut."""
    chance = Random(SEED)
    ajar_from = until - OPENED_BEFORE
    for name, place in house.places.items():
        made = Thermometer.objects.create(name=f"{name}, logger (invented)", place=place, kind=LOGGER)
        course = _course(chance, usual_c=4.0 if name.startswith("Fridge") else -24.0)
        if name == WARM_DOOR:
            course = _ajar(course, ajar_from)
            seen = ajar_from + AJAR - EVERY
            add(made, _readings(course, until - timedelta(days=DAYS), seen))
            look_at(place, seen)
            add(made, _readings(course, seen + EVERY, until))
        else:
            add(made, _readings(course, until - timedelta(days=DAYS), until))
        look_at(place, until)
    seal_days(until)


def _course(chance: Random, usual_c: float) -> Course:
    """The compressor's swing, a slow day, and a little noise."""

    def at(moment: datetime) -> float:
        hours = moment.timestamp() / 3600
        return usual_c + 0.5 * math.sin(hours * 7) + 0.2 * math.sin(hours / 4) + chance.gauss(0, 0.08)

    return at


def _ajar(course: Course, start: datetime) -> Course:
    """Warmer by the minute while it stands ajar, and cold again within the half hour."""

    def at(moment: datetime) -> float:
        open_min = (moment - start).total_seconds() / 60
        warmer = 0.0
        if open_min > 0:
            shut_min = AJAR.total_seconds() / 60
            warmer = 4.9 * (1 - math.exp(-min(open_min, shut_min) / 25))
            warmer *= math.exp(-max(open_min - shut_min, 0) / 9)
        return course(moment) + warmer

    return at


def _readings(course: Course, start: datetime, end: datetime) -> Series:
    many = int((end - start) / EVERY) + 1
    moments = (start + number * EVERY for number in range(many))
    return series_of((moment, round(course(moment) * 100)) for moment in moments)
