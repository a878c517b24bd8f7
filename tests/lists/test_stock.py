"""Bags that stand on the shelf when the book begins become units of it, by their old labels."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from django.db import transaction
from django.urls import reverse

from buffycoat.donors.models import DonorRow
from buffycoat.donors.rules import Donor
from buffycoat.draws.rules import Draw
from buffycoat.journal.book import Book
from buffycoat.journal.facts import Refused
from buffycoat.journal.models import Entry
from buffycoat.journal.record import record
from buffycoat.journal.strike import strike
from buffycoat.labels.models import UnitRow
from buffycoat.labels.paper import unit_label, unit_label_for
from buffycoat.labels.rules import LabelPrinted, PrintLabel, ScanLabelBack
from buffycoat.lists.deciding import HERE, REFUSED, TAKEN, bring_in, judged
from buffycoat.lists.out import as_csv, donors, units
from buffycoat.separation.rules import KeepWhole, LookForClots, SealSegments
from buffycoat.separation.weighings import WeighProduct
from buffycoat.site.rules import limits
from buffycoat.spins.rules import SpinBag, why_not_spun
from buffycoat.storage.models import OpenJobRow
from buffycoat.storage.places import OpenPlace, PlaceOpened
from buffycoat.storage.rules import PutAway
from buffycoat.storage.stock import stock
from buffycoat.trace.jobs import next_step
from tests.lists.sheets import PLAIN, told
from tests.pages import client, near_noon, nothing_recorded, text, walk
from tests.reading_paper import missing, run_over, text_of

__all__ = ["client", "walk"]
pytestmark = [pytest.mark.django_db, pytest.mark.one_database]
NOW = datetime.now(UTC)
HEADINGS = "Unit number,Donor ID,Component,Blood type,Collection date,Expiry date,Volume (mL),Location"


def ago(days):
    return f"{NOW - timedelta(days=days):%Y-%m-%d}"


FFP = f"P-1,D-17,FFP,DEA 1 neg,{ago(100)},{ago(-200)},190,Freezer B"
CELLS = f"R-1,Quill,Packed red cells,DEA 1 positive,{ago(10)},{ago(-11)} 14:00,310,Fridge"
CAT = f"W-1,C-03,Whole blood,A,{ago(5)},{ago(-10)},50,Fridge"


def the_list(*rows):
    return told("\n".join((HEADINGS, *rows)), "stock")


def reasons(row):
    [found] = judged(the_list(row))
    assert REFUSED == found.verdict
    return found.reasons


@pytest.fixture
def here(db):
    a_shelf_brought_in()


def a_shelf_brought_in():
    """A bank that knows its donors and has brought in its shelf."""
    near_noon(timedelta(minutes=1))
    bring_in(told(PLAIN), by="robin")
    rows = bring_in(the_list(FFP, CELLS, CAT), by="robin")
    assert [(TAKEN, ())] * 3 == [(row.verdict, row.reasons) for row in rows]


def the_donation(old_number):
    line = Entry.objects.get(kind="donation-brought-in", line__contains=f'"{old_number}"')
    return line.stream.partition("/")[2]


def labelled(old_number):
    donation = the_donation(old_number)
    [part] = {Book()(Draw, donation).brought_in.part}
    unit = record(PrintLabel(donation=donation, part=part), by="robin").the(LabelPrinted).unit
    record(ScanLabelBack(donation=donation, unit=unit), by="robin")
    return unit


def put_away(unit, appliance):
    place = record(OpenPlace(name=f"{appliance} 1", appliance=appliance), by="robin").the(PlaceOpened).place
    record(PutAway(unit=unit, place=place, looks_well=True), by="robin")


def test_a_bag_waits_for_its_label_then_for_its_place_and_then_stands_in_the_stock(here):
    donation = the_donation("P-1")
    assert 3 == OpenJobRow.objects.count()
    assert next_step(Book(), donation).words.startswith("Label the plasma")
    unit = labelled("P-1")
    assert next_step(Book(), donation).words.startswith("Put the plasma away")
    put_away(unit, "freezer")
    assert next_step(Book(), donation) is None
    [found] = stock(datetime.now(UTC), limits(Book()))
    assert ("Fresh frozen plasma", "ready", 190) == (found.product.name, found.status, found.row.volume_ml)
    assert "Bramble" == found.row.donation.donor.name


def test_the_old_date_is_kept_and_never_made_longer(here):
    unit = UnitRow.objects.get(pk=labelled("R-1"))
    zone = limits(Book()).zone
    assert (
        f"{NOW + timedelta(days=11):%Y-%m-%d} 14:00" == f"{unit.expires_at.astimezone(zone):%Y-%m-%d %H:%M}"
    )
    plasma = UnitRow.objects.get(pk=labelled("P-1"))
    assert (
        f"{NOW + timedelta(days=200):%Y-%m-%d} 23:59"
        == f"{plasma.expires_at.astimezone(zone):%Y-%m-%d %H:%M}"
    )


def test_its_label_says_what_the_old_one_said_and_no_more(here):
    unit = UnitRow.objects.select_related("donation__lot").get(pk=labelled("R-1"))
    label = unit_label_for(unit, datetime.now(UTC), limits(Book()))
    assert ("Red cells", "DEA 1 positive", 310) == (label.product, label.blood_type, label.volume_ml)
    paper = unit_label(label)
    assert [] == missing(paper, "as on its first label", "310 mL", unit.donation_id[:5])
    assert [] == run_over(paper)
    assert "12:00" not in text_of(paper)  # the list told the day alone


def test_the_donor_s_interval_counts_the_draw_once(here):
    donor = DonorRow.objects.get(name="Quill")
    assert ago(10) == f"{donor.last_drawn_at:%Y-%m-%d}"
    bring_in(
        the_list(CELLS.replace("R-1", "P-9").replace("Packed red cells", "FFP").replace(ago(-11), ago(-200))),
        by="kim",
    )
    assert 1 == len(Book()(Donor, donor.donor).all_gave)


def test_the_same_bags_again_bring_nothing_before_and_after_they_are_labelled(here):
    labelled("P-1")
    with nothing_recorded():
        assert {HERE} == {
            row.verdict for row in bring_in(the_list(FFP, CELLS, CAT.replace("W-1", "w - 1")), by="kim")
        }


@pytest.mark.parametrize(
    ("row", "words"),
    [
        (FFP.replace(ago(-200), ago(1)), "its date is over"),
        (FFP.replace("FFP", "Platelets"), "“Platelets” is no product here"),
        (FFP.replace("DEA 1 neg", ""), "Blood type: the cell is empty."),
        (FFP.replace("D-17", "D-99"), "no donor here is called “D-99”"),
        (FFP.replace("D-17", ""), "Donor: the cell is empty."),
        (FFP.replace("P-1", ""), "Number on the bag: the cell is empty."),
        (FFP.replace("190", ""), "Volume: the cell is empty."),
        (FFP.replace("190", "1900"), "1900 mL is not in one bag"),
        (FFP.replace("190", "190 g"), "is not in mL"),
        (
            FFP.replace("DEA 1 neg", "DEA 1 pos"),
            "Its label says DEA 1 positive, and Bramble is DEA 1 negative here",
        ),
        (FFP.replace("DEA 1 neg", "A"), "A is no blood type of a dog"),
        (FFP.replace(ago(-200), ago(-2000)), "this site lets fresh frozen plasma keep for 366"),
        (
            CELLS.replace(ago(-11), ago(-60)),
            "It would keep for 70 days, and this site lets red cells keep for",
        ),
        (FFP.replace(ago(100), ago(-3)), "is still to come"),
        (FFP.replace(ago(-200), "03/04/2030"), "may be 03 Apr 2030 or 04 Mar 2030"),
    ],
)
def test_what_is_no_unit_is_refused_in_words(db, row, words):
    near_noon(timedelta(minutes=1))
    bring_in(told(PLAIN), by="robin")
    assert words in " ".join(reasons(row))


def test_a_date_without_a_zone_is_refused_like_any_other_reason(db):
    near_noon(timedelta(minutes=1))
    bring_in(told(PLAIN), by="robin")
    [found] = judged(the_list(FFP))
    naive = replace(found.wanted.command, expires_at=datetime.fromisoformat("2099-01-01"))
    with nothing_recorded(), pytest.raises(Refused, match="has no zone"):
        record(naive, by="robin")


def test_all_reasons_against_a_bag_are_told_at_once(db):
    near_noon(timedelta(minutes=1))
    bring_in(told(PLAIN), by="robin")
    assert 4 == len(reasons(f"P-1,D-17,Platelets,,{ago(3)},{ago(2)},19 g,"))


def test_the_type_on_a_bag_is_a_first_reading_of_a_donor_that_has_none(db):
    near_noon(timedelta(minutes=1))
    bring_in(told("Number,Name,Species,Sex,Born\n9,Fern,dog,f,2020-01-01\n"), by="robin")
    bag = f"9,FFP,DEA 1 pos,{ago(100)},{ago(-200)},190,"
    bring_in(the_list(f"P-1,{bag}", f"P-2,{bag}"), by="robin")
    donor = Book()(Donor, DonorRow.objects.get().donor)
    assert "read once" == donor.type_in("DEA 1").how


def test_nothing_is_done_at_the_bench_with_a_bag_that_was_made_before(here):
    donation = the_donation("W-1")
    refused = "This bag was made before this book: nothing is left to do with it at the bench."
    for command in (
        KeepWhole(donation=donation),
        LookForClots(donation=donation, clots=False),
        SealSegments(donation=donation, segments=4),
        WeighProduct(donation=donation, part="whole-blood", gross_g=90),
    ):
        with nothing_recorded(), pytest.raises(Refused, match=refused):
            record(command, by="robin")
    [reason] = why_not_spun(Book(), SpinBag(donation=donation, mass_g=90), datetime.now(UTC))
    assert reason.endswith("was made before this book: it is not spun.")


def test_what_a_label_stands_on_is_not_struck_and_what_nothing_stands_on_is(here):
    labelled("P-1")
    for old_number, stands in (("P-1", True), ("W-1", False)):
        number = Entry.objects.get(kind="donation-brought-in", line__contains=f'"{old_number}"').number
        if stands:
            with nothing_recorded(), pytest.raises(Refused):
                strike(number, reason="Not there.", by="kim")
        else:
            strike(number, reason="Not there.", by="kim")
    assert [TAKEN] == [row.verdict for row in judged(the_list(CAT))]


def test_every_page_that_knows_the_bag_opens(here, client):
    donation = the_donation("R-1")
    assert "R-1" in text(client.get(f"/donations/{donation}/"))
    assert 200 == client.get(reverse("label-print", args=[donation, "red-cells"])).status_code
    unit = labelled("R-1")
    put_away(unit, "fridge")
    donor = DonorRow.objects.get(name="Quill").donor
    pages = ("/", "/draws/", "/separation/", "/stock/", "/labels/", f"/units/{unit}/", f"/donors/{donor}/")
    for address in (*pages, reverse("stock-at"), reverse("story", args=[donation])):
        assert 200 == client.get(address, follow=True).status_code, address
    assert "R-1" in text(client.get("/journal/"))


def test_stock_that_left_one_bank_comes_into_an_empty_one(db):
    start = transaction.savepoint()
    a_shelf_brought_in()
    put_away(labelled("P-1"), "freezer")
    put_away(labelled("R-1"), "fridge")
    shelf, animals = (as_csv(each(owners=True, now=NOW)) for each in (units, donors))
    assert {HERE} == {row.verdict for row in judged(told(shelf, "stock"))}
    told_there = as_told()
    transaction.savepoint_rollback(start)  # a journal is emptied in no other way
    near_noon(timedelta(minutes=1))
    for content, kind in ((animals, "donors"), (shelf, "stock")):
        assert [] == [
            row.reasons for row in bring_in(told(content, kind), by="robin") if row.verdict != TAKEN
        ]
    for old_number, appliance in told_there:
        put_away(labelled(old_number), appliance)
    assert list(told_there.values()) == list(as_told().values())


def as_told():
    """What the list of the stock says of each bag, by its number there: product, type, volume, days."""
    lines = list(units(owners=True, now=NOW))[1:]
    return {(line[0], "freezer" if "plasma" in line[1] else "fridge"): line[1:7] for line in lines}
