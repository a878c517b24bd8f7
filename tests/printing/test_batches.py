"""Many on one sheet: stickers of one donation, cards of places, sheets with spare numbers, and nothing else."""

import pytest
from django.http import HttpResponse
from django.urls import reverse

from buffycoat.benches.here import stay
from buffycoat.benches.models import Bench
from buffycoat.draws.spares import GiveSpareNumbers
from buffycoat.labels.rules import LabelPrinted, PrintLabel
from buffycoat.printing import printer as printing
from buffycoat.printing.models import PrintJob
from tests.harness.printer import printer
from tests.pages import text
from tests.printing.answerer import answerer, failed
from tests.reading_paper import OFFICE_DPI, codes_of

SEND = "/printing/send/"


@pytest.fixture(autouse=True)
def _time_enough(monkeypatch):
    monkeypatch.setattr(printing, "PATIENCE_S", 60)


@pytest.fixture
def bench(client):
    made = Bench.objects.create(name="Window bench")
    client.cookies.update(stay(HttpResponse(), made).cookies)
    return made


@pytest.fixture
def odd(bench):
    with answerer() as made:
        bench.paper_printer_address = str(made.address)
        bench.save()
        yield made


def give(client, document, command_id="one"):
    return client.post(SEND, {"document": document, "command_id": command_id}, follow=True)


def test_the_stickers_of_a_donation_come_out_of_the_paper_printer(client, walk, bench, tmp_path):
    donation = walk.drawn("dog")
    with printer(tmp_path / "spool") as real:
        bench.paper_printer_address = real.address
        bench.save()
        assert "sent to the paper printer" in text(give(client, f"stickers/{donation}"))
        (paper,) = (file.read_bytes() for file in real.printed())
    assert client.get(reverse("draw-stickers", args=[donation])).content == paper
    assert donation in {code for _, code in codes_of(paper, OFFICE_DPI)}


def test_cards_of_places_and_spare_numbers_go_there_too_and_are_settled_when_they_were_taken(
    client, walk, odd
):
    walk.a_place("fridge")
    walk.do(GiveSpareNumbers(sheets=2))
    give(client, "places/all", "one")
    page = give(client, "sheets/blank", "two")
    assert 2 == odd.jobs
    assert {"Cards of all places", "2 blank sheets"} == set(PrintJob.objects.values_list("title", flat=True))
    assert "Nothing waits" in text(page)


def test_the_pages_offer_the_paper_printer_only_where_there_is_one(client, walk, bench):
    walk.a_place("fridge")
    assert "printing/send/" not in client.get("/places/").content.decode()
    bench.paper_printer_address = "ipp://192.0.2.7:631/ipp/print"
    bench.save()
    page = client.get("/places/").content.decode()
    assert 'action="/printing/send/"' in page
    assert "instead of: print all cards" in page


def test_a_label_of_a_unit_never_comes_in_a_batch(client, walk, odd):
    donation = walk.weighed("dog")
    unit = walk.do(PrintLabel(donation=donation, part="plasma")).the(LabelPrinted).unit
    assert 404 == give(client, f"label/{unit}/1").status_code
    assert (0, 0) == (odd.jobs, PrintJob.objects.count())
    assert 200 == give(client, f"stickers/{donation}").status_code  # The control: stickers may.
    assert 1 == odd.jobs


@pytest.mark.parametrize(
    "document", ["", "stickers/GHAVN000000100", "places/all", "sheets/blank", "test/label"]
)
def test_what_is_not_there_is_not_printed(client, odd, document):
    assert 404 == give(client, document).status_code
    assert (0, 0) == (odd.jobs, PrintJob.objects.count())


def test_a_button_pressed_twice_prints_once(client, walk, odd):
    donation = walk.drawn("dog")
    for _ in range(2):
        give(client, f"stickers/{donation}")
    assert 1 == odd.jobs


def test_sheets_that_were_not_taken_wait_in_the_queue_and_may_be_tried_again(client, walk, odd):
    donation = walk.drawn("dog")
    odd.job = lambda: failed(0x0504, "Out of order")
    assert "Out of order" in text(give(client, f"stickers/{donation}"))
    page = text(client.get("/printing/"))
    assert "Try again" in page
    job = PrintJob.objects.get()
    odd.job = lambda: failed(0)
    client.post(reverse("printing-again", args=[job.pk]), {"after": "1"})
    assert "Nothing waits" in text(client.get("/printing/"))


def test_without_a_paper_printer_nothing_is_sent(client, walk, bench):
    donation = walk.drawn("dog")
    assert "open the PDF instead" in text(give(client, f"stickers/{donation}"))
    assert not PrintJob.objects.exists()
