"""Paper for an outage, and catching up: what was written on paper comes into the book with both its times."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from django.urls import reverse

from buffycoat.draws.models import DonationRow, SpareRow
from buffycoat.draws.spares import GiveSpareNumbers
from buffycoat.journal.book import standing
from buffycoat.labels.models import UnitRow
from buffycoat.outage.pack import usable_lots
from buffycoat.outage.paper import PCV_PERMILLE, blank_sheets_pdf, plasma_g
from buffycoat.outage.sheets import blank_sheets
from buffycoat.science.numbering import show_code
from buffycoat.separation.contents import predict
from buffycoat.separation.rules import Separation
from buffycoat.shell.words import moment
from buffycoat.site.rules import limits
from tests.pages import answer, asked, fields, pdf, text
from tests.reading_paper import codes_of, missing, run_over
from tests.walk import BAG_SETS, FULL_G, TARE_G, WANTED_ML


@pytest.fixture
def sheet(walk):
    walk.do(GiveSpareNumbers(sheets=1))
    return blank_sheets()[0]


def test_more_numbers_are_given_out_and_listed(client, walk):
    answer(client, reverse("paper-sheets"), sheets="3")
    assert 3 == len(blank_sheets())
    page = text(client.get(reverse("paper-sheets")))
    assert "Print the blank sheets" in page


def test_a_printed_sheet_carries_its_codes_and_fits_its_page(client, walk, sheet):
    walk.a_lot("dog")
    walk.a_lot("cat")
    printed = client.get(reverse("blank-sheets"))
    assert pdf(printed)
    paper = printed.content
    assert {sheet.number, *sheet.units} == {code for _, code in codes_of(paper, 300)}
    assert [] == run_over(paper)
    assert [] == missing(paper, "Paper sheet", "Invented set 450, lot INV-450", "PCV", "Signature", "45 %")


def test_the_plasma_on_the_sheet_is_what_the_page_would_say(walk):
    donation = walk.spun("dog", gross_g=FULL_G["dog"])
    state, site = walk.look(Separation, donation), limits(walk.look)
    at_the_bench = predict(state.draw, site).express_g
    on_paper = plasma_g(state.draw.started.bag_set, state.draw.started.pcv_permille, site)
    assert at_the_bench == pytest.approx(on_paper, abs=1)


def test_a_sheet_is_entered_with_the_times_that_stand_on_it(client, walk, sheet):
    began = (datetime.now(UTC) - timedelta(hours=3)).replace(second=0, microsecond=0)
    donor, lot, zone = walk.a_donor("dog"), walk.a_lot("dog"), limits(walk.look).zone
    asking = answer(client, reverse("catch-up"), sheet=sheet.number, happened_at=moment(began, zone))
    page = client.get(asking.url)
    assert "Who gives today?" == asked(page)
    address = f"{asking.url}&donor={donor}&lot={lot}&tare_g={TARE_G['dog']}"
    last = client.get(address)
    assert f'value="{moment(began, zone)}"' in last.content.decode().replace("&nbsp;", " ")
    sent = fields(last) | {"wanted_ml": WANTED_ML["dog"], "happened_at": moment(began, zone)}
    started = client.post(address, sent)
    assert reverse("draw-finish", args=[sheet.number]) == started.url
    row = DonationRow.objects.get()
    assert (sheet.number, began) == (row.donation, row.started_at)
    line = standing(f"donation/{sheet.number}")[0]
    assert line.recorded_at - line.happened_at > timedelta(hours=2)
    assert [] == blank_sheets()
    again = answer(client, reverse("catch-up"), sheet=sheet.number, happened_at=moment(began, zone))
    assert reverse("next-step", args=[sheet.number]) == again.url


def test_a_scan_of_a_blank_sheet_leads_to_entering_it(client, walk, sheet):
    led = client.get("/scan/", {"code": sheet.number})
    assert f"{reverse('catch-up')}?sheet={sheet.number}" == led.url
    assert f'value="{show_code(sheet.number)}"' in client.get(led.url).content.decode()


def test_another_number_opens_no_sheet(client, walk):
    page = answer(client, reverse("catch-up"), sheet=walk.spun("cat")[:-2] + "00", happened_at="now")
    assert 200 == page.status_code
    walk.do(GiveSpareNumbers(sheets=1))
    unit = SpareRow.objects.filter(spare__startswith="U").first().spare
    page = answer(client, reverse("catch-up"), sheet=unit, happened_at="12:00")
    assert "That is a unit. Scan the paper sheet." in text(page)


def test_the_unit_keeps_the_number_copied_onto_the_bag(client, walk, sheet):
    lot = walk.a_lot("dog")
    donation = walk.weighed("dog", number=sheet.number, lot=lot)
    address = reverse("label-print", args=[donation, "plasma"])
    sent = fields(client.get(address)) | {"number": sheet.units[1]}
    client.post(address, sent)
    assert sheet.units[1] == UnitRow.objects.get().unit


def test_only_a_donation_from_paper_is_asked_for_such_a_number(client, walk):
    page = client.get(reverse("label-print", args=[walk.weighed("dog"), "plasma"]))
    assert "Number from the paper sheet" not in text(page)


def test_the_morning_pack_shows_stock_jobs_and_blank_sheets(client, walk, sheet):
    done, running = walk.on_the_shelf("dog"), walk.spun("cat")
    paper = client.get(reverse("morning-pack")).content
    told = [each[8:12] for each in walk.units(done).values()] + [running[8:12], sheet.number[8:12]]
    assert [] == missing(paper, "Stock", "Open jobs", "Press off the plasma", "May be out of date", *told)
    assert [] == run_over(paper)


def test_an_empty_bank_has_a_morning_pack_too(client, walk):
    assert [] == missing(
        client.get(reverse("morning-pack")).content, "No unit is in stock", "No bag is in work"
    )
    assert blank_sheets_pdf((), (), datetime.now(UTC), limits(walk.look))[:4] == b"%PDF"


def test_every_set_of_the_tests_has_a_plasma_figure_at_each_pcv(walk):
    site = limits(walk.look)
    for species in BAG_SETS:
        walk.a_lot(species)
    for lot in usable_lots(site):
        figures = [plasma_g(lot.bag_set, pcv, site) for pcv in PCV_PERMILLE[lot.bag_set.species]]
        assert figures == sorted(figures, reverse=True) and figures[-1] > 0


def test_the_pack_is_written_by_one_command_and_gives_out_what_is_wanting(quiet_bank, tmp_path):
    file = quiet_bank.cli("morning-pack", "--by", "robin", "--to", tmp_path, "--sheets", "2").strip()
    assert b"%PDF" == Path(file).read_bytes()[:4]
    given = quiet_bank.cli("journal").count('"kind":"spare-number-given"')
    assert 6 == given  # two sheets of a donation and two units
    quiet_bank.cli("morning-pack", "--by", "robin", "--to", tmp_path, "--sheets", "2")
    assert given == quiet_bank.cli("journal").count('"kind":"spare-number-given"')
    said = quiet_bank.cli("morning-pack", "--by", "robin", "--to", tmp_path / "nowhere", expect=1)
    assert "The pack could not be written" in said
