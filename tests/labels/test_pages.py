"""The pages of labels: one is printed at a time, and it counts only when it was scanned back from its bag."""

from datetime import UTC, datetime, timedelta
from io import BytesIO

import pytest
import zxingcpp
from django.urls import reverse
from PIL import Image

from buffycoat.donors.rules import TypeBlood
from buffycoat.draws.rules import DiscardDonation
from buffycoat.journal.book import Book, standing
from buffycoat.journal.models import Entry
from buffycoat.labels.models import UnitRow, unit_to_be
from buffycoat.labels.rules import PrintLabel, ScanLabelBack
from buffycoat.science.numbering import show_code
from buffycoat.shell.paper import PRINTER_DPI
from tests.pages import answer, asked, fields, kinds_since, nothing_recorded, pdf, text
from tests.reading_paper import codes_of
from tests.walk import unknown

pytestmark = pytest.mark.one_database


def printing(donation, part="plasma"):
    return reverse("label-print", args=[donation, part])


def scanning(donation):
    return reverse("label-scan-back", args=[donation])


@pytest.fixture
def printed(walk):
    """A donation whose plasma's label was printed and not scanned back, and its unit."""
    donation = walk.weighed("dog")
    walk.do(PrintLabel(donation=donation, part="plasma"))
    return donation, UnitRow.objects.get().unit


def test_the_page_shows_what_the_label_will_say(client, walk):
    page = client.get(printing(walk.weighed("dog")))
    assert "Print the label of the fresh frozen plasma?" == asked(page)
    for told in ("DEA 1 negative", "Expires", "Volume", "−18 °C or colder", "Freezer until"):
        assert told in text(page)


def test_a_label_is_printed_once_however_often_it_is_sent(client, walk):
    donation = walk.weighed("dog")
    count, sent = Entry.objects.count(), fields(client.get(printing(donation)))
    first, second = (client.post(printing(donation), sent) for _ in range(2))
    assert ["label-printed", "unit-named"] == kinds_since(count)
    assert reverse("next-step", args=[donation]) == first.url == second.url
    unit = UnitRow.objects.get().unit
    page = client.get(first.url, follow=True)
    assert f"The label of {show_code(unit)} is ready to be printed. Next: scan the label back." in text(page)
    assert "Scan the label on the bag of fresh frozen plasma" == asked(page)


def test_the_awaited_label_is_named_with_its_key_facts_and_its_pdf(client, printed):
    donation, unit = printed
    page = client.get(scanning(donation))
    for told in ("Unit whose label is awaited", "Fresh frozen plasma", "DEA 1 negative", "Expires", "Drawn"):
        assert told in text(page)
    assert show_code(unit) in text(page).replace(" ", "")
    address = reverse("label-pdf", args=[donation, "plasma"])
    assert f'href="{address}"' in page.content.decode()
    assert pdf(client.get(address))


def test_a_label_scanned_back_from_its_bag_counts_once(client, printed):
    donation, unit = printed
    count, sent = Entry.objects.count(), {**fields(client.get(scanning(donation))), "unit": unit}
    first, second = (client.post(scanning(donation), sent) for _ in range(2))
    assert ["label-scanned-back"] == kinds_since(count)
    assert reverse("next-step", args=[donation]) == first.url == second.url
    said = f"{show_code(unit)} is labelled: Fresh frozen plasma. Next: put the plasma away."
    assert said in text(client.get(first.url, follow=True))


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("", "Unit number on the bag is missing. Scan the unit, or type its code."),
        ("40123", "A code of ours has 14 letters and figures; this has 5."),
        (show_code(unknown("P")), "That is a place, not a unit."),
        (show_code(unknown("U")), "Take it off: it belongs to another bag."),
        (unknown("U")[:-2] + "00", "a character was misread"),
    ],
)
def test_anything_but_the_awaited_label_is_refused(client, printed, typed, sentence):
    with nothing_recorded():
        response = answer(client, scanning(printed[0]), unit=typed)
    assert sentence in text(response)
    assert typed in response.content.decode()
    assert "<title>Error: " in response.content.decode()


def test_the_next_label_waits_until_the_first_is_scanned_back(client, printed):
    donation, unit = printed
    with nothing_recorded():
        response = answer(client, printing(donation, "red-cells"))
    assert f"Scan back {show_code(unit)} first: one label at a time" in text(response)


def test_a_second_copy_needs_a_reason_and_is_counted(client, printed):
    donation, unit = printed
    with nothing_recorded():
        refused = answer(client, printing(donation))
    assert "say why you need another, and destroy the old one." in text(refused)
    client.post(printing(donation), {**fields(refused), "reason": "smeared"})
    assert 2 == UnitRow.objects.get(pk=unit).copy
    assert "copy 2: destroy the one before" in text(client.get(scanning(donation)))


def test_no_label_is_printed_while_the_donors_type_is_not_known(client, walk):
    donor = walk.a_donor("dog", typed=False)
    donation = walk.weighed("dog", donor=donor)
    page = client.get(printing(donation))
    assert "type the donor first." in text(page)
    assert reverse("donor-type", args=[donor]) in page.content.decode()
    with nothing_recorded():
        assert "type the donor before any label is printed." in text(answer(client, printing(donation)))
    walk.do(TypeBlood(donor=donor, blood_type="DEA 1 positive", method="card"))
    assert "DEA 1 positive" in text(client.get(printing(donation)))


def test_plasma_that_is_late_for_the_freezer_is_labelled_as_frozen_plasma(client, walk):
    walk.at -= timedelta(hours=10)
    page = client.get(printing(walk.weighed("dog")))
    assert "Print the label of the frozen plasma?" == asked(page)


def test_a_label_that_became_another_product_says_so(client, walk):
    walk.at -= timedelta(hours=6)
    donation = walk.weighed("dog")
    walk.do(PrintLabel(donation=donation, part="plasma"))
    page = client.get(printing(donation))
    assert "This bag was labelled as something else before." in text(page)
    assert 302 == answer(client, printing(donation)).status_code
    assert "frozen-plasma" == UnitRow.objects.get().product


def test_plasma_that_was_frozen_in_time_is_shown_as_fresh_frozen_on_a_late_copy(client, walk):
    walk.at -= timedelta(hours=20)
    page = client.get(printing(walk.on_the_shelf("dog")))
    assert "Fresh frozen plasma" in text(page)
    assert "Print this label again?" == asked(page)
    assert "labelled as something else" not in text(page)


def test_whoever_is_second_on_a_label_is_told_who_was_faster(client, walk, printed):
    donation, unit = printed
    sent = {**fields(client.get(scanning(donation))), "unit": unit}
    again = fields(client.get(printing(donation)))
    walk.by = "kim"
    walk.do(ScanLabelBack(donation=donation, unit=unit))
    with nothing_recorded():
        assert "kim was faster" in text(client.post(scanning(donation), sent))
        assert "kim was faster" in text(client.post(printing(donation), {**again, "reason": "torn"}))


def test_without_an_awaited_label_the_scan_back_leads_on(client, walk):
    donation = walk.weighed("dog")
    assert reverse("next-step", args=[donation]) == client.get(scanning(donation)).url


def test_a_part_that_does_not_come_of_it_leads_on(client, walk):
    response = client.get(printing(walk.weighed("dog", minutes=20)), follow=True)
    assert "This donation gives no plasma." in text(response)


def test_a_discarded_donation_gets_no_label(client, walk):
    donation = walk.weighed("dog")
    sent = fields(client.get(printing(donation)))
    walk.by = "kim"
    walk.do(DiscardDonation(donation=donation, reason="It fell."))
    with nothing_recorded():
        assert "kim was faster" in text(client.post(printing(donation), sent))
    assert (
        reverse("donation", args=[donation])
        == client.get(printing(donation), follow=True).redirect_chain[-1][0]
    )


def test_the_list_shows_each_label_that_was_not_scanned_back(client, walk, printed):
    donation, unit = printed
    assert show_code(unit) in text(client.get(reverse("labels"))).replace(" ", "")
    walk.do(ScanLabelBack(donation=donation, unit=unit))
    assert "Every printed label was scanned back." in text(client.get(reverse("labels")))


@pytest.mark.parametrize("name", ["label-print", "label-pdf"])
def test_a_label_of_an_unknown_donation_or_part_is_not_found(client, walk, name):
    assert 404 == client.get(reverse(name, args=[unknown("G"), "plasma"])).status_code
    assert 404 == client.get(reverse(name, args=[walk.drawn("dog"), "foam"])).status_code


def test_the_scan_back_of_an_unknown_donation_is_not_found(client):
    assert 404 == client.get(scanning(unknown("G"))).status_code


def label_picture(client, donation, part):
    answer = client.get(reverse("label-picture", args=[donation, part]))
    assert "image/png" == answer["Content-Type"]
    return Image.open(BytesIO(answer.content))


def test_the_label_is_shown_in_its_true_size_and_cannot_be_scanned_from_the_screen(client, printed):
    donation, _ = printed
    shown = label_picture(client, donation, "plasma")
    assert (round(100 / 25.4 * PRINTER_DPI),) * 2 == shown.size
    assert [] == zxingcpp.read_barcodes(shown)
    # The control: the paper itself can be read at the same fineness.
    paper = client.get(reverse("label-pdf", args=[donation, "plasma"])).content
    assert codes_of(paper, PRINTER_DPI)


def test_the_label_to_be_is_the_label_that_is_then_printed(client, walk):
    donation = walk.weighed("dog")
    at = datetime.now(UTC)
    fact = next(fact for _, fact in PrintLabel(donation=donation, part="plasma").facts(Book(), at))
    to_be = unit_to_be(donation, "plasma", standing(f"donation/{donation}"), fact, at)
    label_picture(client, donation, "plasma")
    assert not UnitRow.objects.exists()
    client.post(printing(donation), fields(client.get(printing(donation))))
    made = UnitRow.objects.get()
    assert values(made, but={"printed_at"}) == values(to_be, but={"printed_at"})


def values(row, but):
    return {
        field.attname: getattr(row, field.attname) for field in row._meta.concrete_fields
    } | dict.fromkeys(but)


def test_there_is_no_picture_of_a_label_that_cannot_be_printed_yet(client, walk):
    assert 404 == client.get(reverse("label-picture", args=[walk.separated("dog"), "plasma"])).status_code
