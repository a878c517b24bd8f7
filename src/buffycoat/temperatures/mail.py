"""An alarm that nobody has taken goes out by e-mail, once. What cannot be sent is tried again at the next look."""

import logging
from datetime import UTC, datetime, timedelta
from smtplib import SMTPException

from django.conf import settings
from django.core.mail import EmailMessage

from buffycoat.journal.book import Book
from buffycoat.journal.facts import Refused
from buffycoat.journal.record import record
from buffycoat.shell.words import moment
from buffycoat.site.rules import Limits, limits
from buffycoat.storage.models import PlaceRow
from buffycoat.temperatures.alarms import Alarm, due_to_tell, temperatures
from buffycoat.temperatures.bands import CAUSES
from buffycoat.temperatures.models import AlarmRow
from buffycoat.temperatures.rules import TellAlarm
from buffycoat.temperatures.watching import PROGRAM
from buffycoat.temperatures.words import degrees

log = logging.getLogger("buffycoat.temperatures")


def tell_what_is_due(now: datetime | None = None) -> int:
    """Gives how many alarms went out."""
    now, site, told = now or datetime.now(UTC), limits(Book()), 0
    after = timedelta(minutes=site.whole("alarm_tells_more_min"))
    if not settings.ALARMS_TO:
        return 0
    for row in AlarmRow.objects.filter(closed_at=None, told_at=None):
        alarm = temperatures(Book(), row.place).alarms[row.alarm]
        if due_to_tell(alarm, after, now) and _sent(alarm, site):
            try:
                record(
                    TellAlarm(place=row.place, alarm=row.alarm, people=len(settings.ALARMS_TO)), by=PROGRAM
                )
            except Refused:  # closed in this very moment
                continue
            told += 1
    return told


def _sent(alarm: Alarm, site: Limits) -> bool:
    place = PlaceRow.objects.get(pk=alarm.place)
    extreme = (
        "" if alarm.extreme_centi_c is None else f" It was {degrees(alarm.extreme_centi_c)} at the worst."
    )
    state = (
        "It still goes on." if alarm.ended_at is None else f"Over since {moment(alarm.ended_at, site.zone)}."
    )
    body = (
        f"{CAUSES[alarm.cause]}: {place.name}, since {moment(alarm.since, site.zone)}.{extreme} {state}\n\n"
        f"{len(alarm.units)} units were inside and wait for a decision. Nobody has taken this alarm yet.\n"
        f"Sign in, open Today, and take alarm {alarm.number}."
    )
    subject = f"{site.text('site_name')}: {CAUSES[alarm.cause].lower()}, {place.name} (alarm {alarm.number})"
    try:
        EmailMessage(" ".join(subject.split()), body, None, settings.ALARMS_TO).send()
    except (OSError, SMTPException) as trouble:
        log.warning("Alarm %s could not be sent by e-mail: %s", alarm.number, trouble)
        return False
    return True
