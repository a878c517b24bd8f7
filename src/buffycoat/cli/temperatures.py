"""Temperatures from a terminal: what is now, a logger's file in, and the watch."""

import argparse
import logging
import sys
import time
from dataclasses import replace
from pathlib import Path

from django.db import DatabaseError, connection

from buffycoat.journal.facts import Refused
from buffycoat.storage.models import PlaceRow
from buffycoat.temperatures.coming_in import declared_of, import_file
from buffycoat.temperatures.formats import Unclear, why_not_declared
from buffycoat.temperatures.keeping_readings import tampered
from buffycoat.temperatures.mail import tell_what_is_due
from buffycoat.temperatures.models import AlarmRow, Thermometer
from buffycoat.temperatures.sealing import seal_days
from buffycoat.temperatures.thermometer_views import said_of
from buffycoat.temperatures.watching import look_at_all
from buffycoat.temperatures.words import degrees

log = logging.getLogger("buffycoat.temperatures")


def show_temperatures(asked: argparse.Namespace) -> int:
    """With --check: are the readings those that were sealed? 1 if not."""
    if asked.check:
        return _check()
    names = dict(PlaceRow.objects.values_list("place", "name"))
    for each in Thermometer.objects.filter(in_use=True):
        last = "no reading"
        if each.last_at and each.last_centi_c is not None:
            last = f"{degrees(each.last_centi_c)}, {each.last_at:%Y-%m-%d %H:%M} UTC"
        print(f"{each.name}  {names.get(each.place, each.place)}  {last}")
    for row in AlarmRow.objects.filter(closed_at=None):
        print(
            f"ALARM {row.alarm}  {row.cause}  {names.get(row.place, row.place)}  since {row.since:%Y-%m-%d %H:%M} UTC"
        )
    return 0


def _check() -> int:
    wrong = [(place, day) for place in _places() for day in tampered(place)]
    for place, day in wrong:
        print(f"{place}: the readings of {day} are not those that were sealed.", file=sys.stderr)
    if not wrong:
        print("Every sealed day of readings is what was sealed.")
    return 1 if wrong else 0


def _places() -> list[str]:
    return list(Thermometer.objects.order_by("place").values_list("place", flat=True).distinct())


def import_readings(asked: argparse.Namespace) -> int:
    found = Thermometer.objects.filter(name=asked.thermometer, in_use=True).first()
    if found is None:
        print(f"No thermometer in use is called {asked.thermometer}.", file=sys.stderr)
        return 1
    before = declared_of(found)
    given = {name: getattr(asked, name) for name in ("dates", "unit", "column", "clock", "year")}
    declared = replace(before, **{name: value for name, value in given.items() if value is not None})
    try:
        if reasons := list(why_not_declared(declared)):
            raise Unclear(*reasons)
        print(said_of(found, import_file(found, Path(asked.file), declared)))
    except (Unclear, Refused) as refused:
        print(*refused.reasons, sep="\n", file=sys.stderr)
        return 1
    except OSError as error:
        print(f"{asked.file} cannot be read: {error.strerror}.", file=sys.stderr)
        return 1
    return 0


def watch(asked: argparse.Namespace) -> int:
    """Looks for what no reading tells: silence, and alarms to send; seals each day that is over."""
    while True:
        try:
            look_at_all()
            tell_what_is_due()
            seal_days()
        except Refused as refused:
            log.error("Not sealed: %s", refused)
        except DatabaseError as trouble:
            log.error("The watch could not look: %s", trouble)
            connection.close()
        if asked.once:
            return 0
        time.sleep(asked.every_s)
