"""A label printed again later says what the unit is, and a unit that is gone gets none."""

from datetime import timedelta

from buffycoat.labels.rules import LabelPrinted, PrintLabel
from buffycoat.storage.rules import DiscardUnit
from tests.walk import pure_walk


def again(donation: str, part: str = "plasma", reason: str = "Torn") -> PrintLabel:
    return PrintLabel(donation=donation, part=part, reason=reason)


def test_plasma_frozen_in_time_stays_fresh_frozen_on_a_copy_printed_late():
    walk = pure_walk()
    donation = walk.on_the_shelf()
    walk.wait(hours=30)
    assert "fresh-frozen-plasma" == walk.do(again(donation)).the(LabelPrinted).product


def test_plasma_not_frozen_in_time_is_frozen_plasma_on_a_copy():
    walk = pure_walk()
    donation = walk.labelled()
    walk.wait(hours=30)
    assert "frozen-plasma" == walk.do(again(donation, reason="")).the(LabelPrinted).product


def test_a_unit_that_was_discarded_gets_no_more_labels():
    walk = pure_walk()
    donation = walk.on_the_shelf()
    walk.do(DiscardUnit(unit=walk.units(donation)["plasma"], reason="Broken"))
    assert ["This unit was discarded: Broken"] == walk.why_not(again(donation))
    assert [] == walk.why_not(again(donation, "red-cells"))


def test_a_product_past_its_date_gets_no_label():
    walk = pure_walk()
    donation = walk.weighed()
    last_day = walk.at + timedelta(days=35)
    assert [] == walk.why_not(again(donation, "red-cells"), last_day)
    assert ["Its date is over: discard it, do not label it."] == walk.why_not(
        again(donation, "red-cells"), last_day + timedelta(days=1)
    )
