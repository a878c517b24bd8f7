"""A fridge with thermometers, and readings of it that end now."""

from datetime import UTC, datetime, timedelta

from buffycoat.temperatures.coming_in import take
from buffycoat.temperatures.models import LOGGER, Thermometer
from buffycoat.temperatures.series import series_of

NOW = datetime.now(UTC).replace(microsecond=0)  # when the tests began
MIDNIGHT = NOW.replace(hour=0, minute=0, second=0)
PAST = MIDNIGHT - timedelta(hours=28)  # on a day that can be sealed whatever the hour is


def a_thermometer(place, name="Door", kind=LOGGER):
    """A logger may be silent for days, so that no test minds how long the others took."""
    return Thermometer.objects.create(name=name, place=place, kind=kind)


def run(*celsius, end=None, every_min=10):
    """Readings in order, the last one at `end`."""
    last = end or NOW
    start = last - timedelta(minutes=every_min * (len(celsius) - 1))
    return series_of(
        (start + timedelta(minutes=every_min * n), round(c * 100)) for n, c in enumerate(celsius)
    )


def told(thermometer, *celsius, **how):
    """They came in."""
    return take(thermometer, run(*celsius, **how))


WARM_HOUR = (4, 4, 7, 8, 9, 8, 7, 7, 4, 4)  # outside for 60 min
