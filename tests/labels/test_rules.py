"""The label: printed for one bag at a time, and counted only when scanned back from that bag."""

from datetime import timedelta

import pytest

from buffycoat.draws.rules import DiscardDonation, Draw
from buffycoat.labels.rules import Labelling, LabelPrinted, PrintLabel, ScanLabelBack, UnitName
from buffycoat.science.numbering import show_code
from buffycoat.separation.rules import LookForClots, SealSegments
from buffycoat.separation.weighings import WeighProduct
from buffycoat.storage.rules import PutAway
from tests.walk import pure_walk, unknown

SEAL_FIRST = "Look for clots and seal the segments first."
PRINTED = "This label was printed already: say why you need another, and destroy the old one."


def print_label(donation, part="red-cells", reason=""):
    return PrintLabel(donation=donation, part=part, reason=reason)


def printed(walk, donation, part="red-cells", reason=""):
    return walk.do(print_label(donation, part, reason)).the(LabelPrinted)


def test_a_weighed_product_of_a_typed_donor_gets_its_label():
    walk = pure_walk()
    donation = walk.weighed()
    assert [] == walk.why_not(print_label(donation))
    assert [] == walk.why_not(print_label(donation, "plasma"))


@pytest.mark.parametrize(
    "command", [print_label(unknown("G")), ScanLabelBack(donation=unknown("G"), unit=unknown("U"))]
)
def test_nothing_of_an_unknown_donation_is_labelled(command):
    refusal = f"No donation has the number {unknown('G')}: scan the bag again."
    assert refusal == pure_walk().why_not(command)[0]


def test_a_discarded_donation_gets_no_label():
    walk = pure_walk()
    donation = walk.weighed()
    walk.do(DiscardDonation(donation=donation, reason="Clotted."))
    gone = f"Donation {donation} was discarded: Clotted."
    assert gone in walk.why_not(print_label(donation))
    assert gone in walk.why_not(ScanLabelBack(donation=donation, unit=unknown("U")))


def test_a_label_is_no_earlier_than_the_weighing():
    walk = pure_walk()
    donation = walk.weighed()
    done = walk.look(Draw, donation).last_at
    assert [] == walk.why_not(print_label(donation), done)
    assert 1 == len(walk.why_not(print_label(donation), done - timedelta(seconds=1)))


def test_what_was_not_made_gets_no_label():
    walk = pure_walk()
    assert ["This donation gives no whole blood."] == walk.why_not(print_label(walk.weighed(), "whole-blood"))
    low = walk.weighed(gross_g=260 + 425)
    assert ["This donation gives no plasma."] == walk.why_not(print_label(low, "plasma"))


def test_a_label_carries_a_weighed_volume():
    walk = pure_walk()
    donation = walk.separated("cat")
    refusal = "Weigh the red cells first: the label carries the volume."
    assert [refusal] == walk.why_not(print_label(donation))
    walk.do(WeighProduct(donation=donation, part="red-cells", gross_g=44))
    assert [] == walk.why_not(print_label(donation))
    assert ["Weigh the plasma first: the label carries the volume."] == walk.why_not(
        print_label(donation, "plasma")
    )


def test_no_part_of_a_bag_is_labelled_before_clots_were_looked_for_and_segments_sealed():
    walk = pure_walk()
    donation = walk.expressed("cat")
    walk.do(WeighProduct(donation=donation, part="plasma", gross_g=40))
    assert [SEAL_FIRST] == walk.why_not(print_label(donation, "plasma"))
    walk.do(LookForClots(donation=donation, clots=False))
    assert [SEAL_FIRST] == walk.why_not(print_label(donation, "plasma"))
    walk.do(SealSegments(donation=donation, segments=4))
    assert [] == walk.why_not(print_label(donation, "plasma"))


def test_no_label_without_a_blood_type():
    walk = pure_walk()
    donation = walk.weighed(donor=walk.a_donor(typed=False))
    refusal = "The donor's blood type is not known: type the donor before any label is printed."
    assert [refusal] == walk.why_not(print_label(donation))


def test_one_label_at_a_time():
    walk = pure_walk()
    donation = walk.weighed()
    unit = printed(walk, donation).unit
    waits = f"Scan back {show_code(unit)} first: one label at a time, so that none can be swapped."
    assert [waits] == walk.why_not(print_label(donation, "plasma"))
    walk.do(ScanLabelBack(donation=donation, unit=unit))
    assert [] == walk.why_not(print_label(donation, "plasma"))


def test_a_second_copy_has_a_reason_a_number_and_the_same_unit():
    walk = pure_walk()
    donation = walk.weighed()
    first = printed(walk, donation)
    assert [PRINTED] == walk.why_not(print_label(donation))
    assert [PRINTED] == walk.why_not(print_label(donation, reason=" "))
    second = printed(walk, donation, reason="Smeared.")
    assert (first.unit, 1, "") == (first.unit, first.copy, first.reason)
    assert (first.unit, 2, "Smeared.") == (second.unit, second.copy, second.reason)


def test_a_second_copy_is_scanned_back_again():
    walk = pure_walk()
    donation = walk.labelled()
    assert {"plasma", "red-cells"} == set(walk.look(Labelling, donation).labelled_at)
    printed(walk, donation, reason="Smeared.")
    labels = walk.look(Labelling, donation)
    assert ({"plasma"}, "red-cells") == (set(labels.labelled_at), labels.awaited.part)


def test_plasma_that_became_something_else_is_relabelled_without_a_reason():
    walk = pure_walk()
    donation = walk.weighed()
    first = printed(walk, donation, "plasma")
    walk.wait(hours=9)
    late = printed(walk, donation, "plasma")
    assert ("fresh-frozen-plasma", "frozen-plasma") == (first.product, late.product)
    assert (first.unit, 2) == (late.unit, late.copy)


def test_a_label_says_what_is_in_the_bag():
    walk = pure_walk()
    donation = walk.weighed()
    cells = printed(walk, donation)
    assert ("red-cells-additive", "DEA 1 negative", 379, False) == (
        cells.product,
        cells.blood_type,
        cells.volume_ml,
        cells.low_volume,
    )


def test_an_under_filled_bag_says_low_volume():
    walk = pure_walk()
    assert printed(walk, walk.weighed(gross_g=260 + 425)).low_volume


def test_a_unit_knows_its_donation():
    walk = pure_walk()
    donation = walk.weighed()
    unit = printed(walk, donation).unit
    named = walk.look(UnitName, unit).named
    assert (donation, "red-cells", "U") == (named.donation, named.part, unit[0])
    assert walk.look(UnitName, unknown("U")).named is None


def test_a_label_is_scanned_back_from_its_own_bag():
    walk = pure_walk()
    donation, other = walk.weighed(), walk.weighed()
    unit, stranger = printed(walk, donation).unit, printed(walk, other).unit
    assert [] == walk.why_not(ScanLabelBack(donation=donation, unit=unit))
    assert [
        f"{show_code(stranger)} is not the label just printed for this bag ({show_code(unit)}). "
        "Take it off: it belongs to another bag."
    ] == walk.why_not(ScanLabelBack(donation=donation, unit=stranger))


def test_a_label_is_scanned_back_once_and_only_when_printed():
    walk = pure_walk()
    donation = walk.weighed()
    none = ["No label of this donation waits to be scanned back: print it first."]
    assert none == walk.why_not(ScanLabelBack(donation=donation, unit=unknown("U")))
    unit = printed(walk, donation).unit
    walk.do(ScanLabelBack(donation=donation, unit=unit))
    assert none == walk.why_not(ScanLabelBack(donation=donation, unit=unit))


def test_a_bag_counts_as_labelled_only_when_its_label_was_scanned_back():
    walk = pure_walk()
    donation = walk.weighed()
    unit = printed(walk, donation).unit
    shelve = PutAway(unit=unit, place=walk.a_place("fridge"), looks_well=True)
    assert ["Its label was not scanned back from the bag yet: do that first."] == walk.why_not(shelve)
    walk.do(ScanLabelBack(donation=donation, unit=unit))
    assert [] == walk.why_not(shelve)
