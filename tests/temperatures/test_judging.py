"""What the site's rule says of a unit that was in a place out of its range: one row, one case."""

import pytest

from buffycoat.labels.products import FREEZER, FRIDGE
from buffycoat.site.limits import LIMITS
from buffycoat.site.rules import Limits
from buffycoat.temperatures.bands import COLD, WARM, band_of
from buffycoat.temperatures.judging import DISCARD, KEEP, Exposure, advice

# Source of the fridge's row: the UK animal blood bank's guide: 1 to 10 °C, at most 5 h, once only. The freezer's limit
# is from memory. Kept in, cause, worst °C, minutes, alarms before: verdict, and what is said.
TABLE = [
    (FRIDGE, WARM, 8.0, 42, 0, KEEP, "not beyond 10 °C, 42 of at most 300 min, for the first time"),
    (FRIDGE, WARM, 10.0, 300, 0, KEEP, "not beyond 10 °C, 300 of at most 300 min, for the first time"),
    (FRIDGE, WARM, 10.01, 42, 0, DISCARD, "it was warmer than 10 °C"),
    (FRIDGE, WARM, 8.0, 301, 0, DISCARD, "301 min are longer than 300 min"),
    (FRIDGE, WARM, 8.0, 42, 1, DISCARD, "it was out of its range before, and once is the most"),
    (
        FRIDGE,
        WARM,
        12.0,
        400,
        2,
        DISCARD,
        "it was warmer than 10 °C; 400 min are longer than 300 min; "
        "it was out of its range before, and once is the most",
    ),
    (FRIDGE, COLD, 1.0, 42, 0, KEEP, "not beyond 1 °C, 42 of at most 300 min, for the first time"),
    (FRIDGE, COLD, 0.99, 1, 0, DISCARD, "it was colder than 1 °C"),
    (FREEZER, WARM, -10.0, 42, 0, KEEP, "not beyond −10 °C, 42 of at most 300 min, for the first time"),
    (FREEZER, WARM, -9.99, 42, 0, DISCARD, "it was warmer than −10 °C"),
    (FREEZER, WARM, -15.0, 301, 0, DISCARD, "301 min are longer than 300 min"),
]


@pytest.mark.parametrize(("kept_in", "cause", "worst_c", "minutes", "before", "verdict", "because"), TABLE)
def test_the_sites_rule(kept_in, cause, worst_c, minutes, before, verdict, because):
    unit = Exposure(
        kept_in=kept_in,
        cause=cause,
        extreme_centi_c=round(worst_c * 100),
        minutes=minutes,
        before=before,
    )
    told = advice(unit, Limits(number="limits"))
    assert (verdict, because) == (told.verdict, told.because)
    assert set(told.keys) <= set(LIMITS)


def test_a_site_that_sets_its_own_limit_is_told_by_its_own():
    strict = Limits(number="limits", set_here={"excursion_most_c": 7, "excursion_longest_min": 30})
    unit = Exposure(kept_in=FRIDGE, cause=WARM, extreme_centi_c=800, minutes=42, before=0)
    assert "it was warmer than 7 °C; 42 min are longer than 30 min" == advice(unit, strict).because


def test_the_band_is_the_sites_own():
    site = Limits(number="limits", set_here={"fridge_most_c": 5, "freezer_most_c": -25})
    assert (200, 500) == (band_of(FRIDGE, site).low_centi_c, band_of(FRIDGE, site).high_centi_c)
    assert band_of(FREEZER, site).holds(-2_500)
    assert band_of(FREEZER, site).holds(-8_000)
    assert not band_of(FREEZER, site).holds(-2_499)
