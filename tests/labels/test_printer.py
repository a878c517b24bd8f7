"""A bench with a label printer: the label comes out by itself, and every way this can fail says what to do."""

from datetime import UTC, datetime

import pytest
from django.http import HttpResponse
from django.urls import reverse

from buffycoat.benches.here import stay
from buffycoat.benches.models import Bench
from buffycoat.labels.models import UnitRow
from buffycoat.labels.rules import PrintLabel, ScanLabelBack
from buffycoat.printing import printer as printing
from buffycoat.printing.models import PrintJob
from buffycoat.printing.printer import BUSY_STATUS, NOT_SENT, SENT, UNKNOWN
from buffycoat.science.numbering import show_code
from tests.harness.printer import printer
from tests.pages import answer, fields, nothing_recorded, text
from tests.printing.answerer import accepted, answerer, failed
from tests.reading_paper import CODE_128, DATA_MATRIX, PRINTER_DPI, codes_of, missing

TRY_AGAIN = "Try again"


@pytest.fixture(autouse=True)
def _time_enough(monkeypatch):
    monkeypatch.setattr(printing, "PATIENCE_S", 60)


@pytest.fixture
def bench(client):
    made = Bench.objects.create(name="Window bench", printer="the window printer")
    client.cookies.update(stay(HttpResponse(), made).cookies)
    return made


@pytest.fixture
def odd(bench):
    with answerer() as made:
        bench.printer_address = str(made.address)
        bench.save()
        yield made


def printing_page(donation, part="plasma"):
    return reverse("label-print", args=[donation, part])


def try_again(client, page):
    job = PrintJob.objects.get()
    sent = fields(page, "try-again")
    return client.post(reverse("printing-again", args=[job.pk]), sent, follow=True)


def outcomes():
    return [attempt.outcome for attempt in PrintJob.objects.get().attempts.all()]


def test_the_label_comes_out_of_a_real_printer_and_its_code_is_the_units(client, walk, bench, tmp_path):
    donation = walk.weighed("dog")
    with printer(tmp_path / "spool") as real:
        bench.printer_address = real.address
        bench.save()
        page = client.post(printing_page(donation), fields(client.get(printing_page(donation))), follow=True)
        (paper,) = (file.read_bytes() for file in real.printed())
    unit = UnitRow.objects.get().unit
    assert [(CODE_128, unit), (DATA_MATRIX, unit)] == codes_of(paper, PRINTER_DPI)
    assert client.get(reverse("label-pdf", args=[donation, "plasma"])).content == paper
    assert f"Label of {show_code(unit)} sent to the window printer" in text(page)
    assert TRY_AGAIN not in text(page)


def test_a_second_print_is_a_second_copy_and_says_so_on_the_paper(client, walk, bench, tmp_path):
    donation = walk.weighed("dog")
    with printer(tmp_path / "spool") as real:
        bench.printer_address = real.address
        bench.save()
        answer(client, printing_page(donation))
        answer(client, printing_page(donation), reason="smeared")
        first, second = (file.read_bytes() for file in real.printed())
    assert [] == missing(second, "COPY 2: destroy the earlier label")
    assert missing(first, "COPY 2")  # The control: the first says nothing of copies.
    assert ["sent", "sent"] == [job.last.outcome for job in PrintJob.objects.all()]


def test_a_form_that_is_sent_twice_prints_once(client, walk, odd):
    donation = walk.weighed("dog")
    sent = fields(client.get(printing_page(donation)))
    for _ in range(2):
        client.post(printing_page(donation), sent)
    assert 1 == odd.jobs
    answer(client, printing_page(donation), reason="torn")
    assert 2 == odd.jobs  # The control: another press is another label.


def test_a_label_that_the_book_refuses_is_not_printed(client, walk, odd):
    donation = walk.weighed("dog")
    walk.do(PrintLabel(donation=donation, part="plasma"))
    with nothing_recorded():
        answer(client, printing_page(donation, "red-cells"))
    assert [] == odd.asked


def test_without_a_printer_the_label_opens_as_a_pdf_and_no_job_is_made(client, walk, bench):
    donation = walk.weighed("dog")
    answer(client, printing_page(donation))
    page = client.get(reverse("label-scan-back", args=[donation]))
    assert "data-print href=" in page.content.decode()
    assert not PrintJob.objects.exists()


def test_a_printer_that_did_not_take_it_is_asked_again_by_hand_with_the_same_label(client, walk, odd):
    donation = walk.weighed("dog")
    odd.job = lambda: failed(0x0504, "Out of order")
    page = client.post(printing_page(donation), fields(client.get(printing_page(donation))), follow=True)
    assert "The printer did not take it: Out of order." in text(page)
    assert 'form="try-again" data-print>Try again' in page.content.decode()
    odd.job = accepted
    page = try_again(client, page)
    assert [NOT_SENT, SENT] == outcomes()
    assert "sent to the window printer" in text(page)
    assert TRY_AGAIN not in text(page)
    assert 1 == UnitRow.objects.get().copy  # one paper, one copy


def test_trying_again_twice_from_one_page_sends_once(client, walk, odd):
    donation = walk.weighed("dog")
    odd.job = lambda: failed(0x0504)
    page = client.post(printing_page(donation), fields(client.get(printing_page(donation))), follow=True)
    try_again(client, page)
    stale = try_again(client, page)
    assert (2, [NOT_SENT, NOT_SENT]) == (odd.jobs, outcomes())
    assert "Someone else tried just now" in text(stale)


def test_a_label_that_may_exist_already_is_never_sent_again_uncounted(client, walk, odd):
    donation = walk.weighed("dog")
    odd.job = lambda: b"nonsense"
    page = client.post(printing_page(donation), fields(client.get(printing_page(donation))), follow=True)
    assert [UNKNOWN] == outcomes()
    assert "It may have printed all the same. Look at the printer" in text(page)
    assert TRY_AGAIN not in text(page)
    forced = client.post(
        reverse("printing-again", args=[PrintJob.objects.get().pk]), {"after": "1"}, follow=True
    )
    assert "there may be one already" in text(forced)
    assert 1 == odd.jobs
    assert "Print again" in text(page)


def test_nothing_is_tried_again_for_a_label_that_is_not_wanted_any_more(client, walk, odd):
    donation = walk.weighed("dog")
    odd.job = lambda: failed(BUSY_STATUS + 1)
    answer(client, printing_page(donation))
    job = PrintJob.objects.get()
    for step, why in (
        (PrintLabel(donation=donation, part="plasma", reason="torn"), "copy 2 was printed since"),
        (ScanLabelBack(donation=donation, unit=UnitRow.objects.get().unit), "copy 2 was printed since"),
    ):
        walk.do(step, at=datetime.now(UTC))
        said = client.post(reverse("printing-again", args=[job.pk]), {"after": "1"}, follow=True)
        assert why in text(said)
    assert 1 == odd.jobs


def test_a_bench_that_lost_its_printer_says_so(client, walk, bench, odd):
    donation = walk.weighed("dog")
    odd.job = lambda: failed(0x0504)
    page = client.post(printing_page(donation), fields(client.get(printing_page(donation))), follow=True)
    bench.printer_address = ""
    bench.save()
    assert "This bench has no printer for it any more" in text(try_again(client, page))


def test_the_queue_shows_each_job_until_the_label_is_scanned_back(client, walk, odd):
    donation = walk.weighed("dog")
    odd.job = lambda: failed(0x0504, "Out of order")
    answer(client, printing_page(donation))
    unit = UnitRow.objects.get().unit
    queue = client.get("/printing/")
    for told in (
        show_code(unit),
        "Window bench",
        "robin",
        "not sent: The printer did not take it: Out of order.",
    ):
        assert told in text(queue)
    assert "Try again" in text(queue)
    walk.do(ScanLabelBack(donation=donation, unit=unit), at=datetime.now(UTC))
    settled = text(client.get("/printing/"))
    assert "Nothing waits: every label that a printer took was scanned back." in settled
    assert "Scanned back" in settled


def test_a_cancelled_job_is_left_alone_and_says_who_cancelled_it(client, walk, odd):
    donation = walk.weighed("dog")
    odd.job = lambda: failed(0x0504)
    answer(client, printing_page(donation))
    job = PrintJob.objects.get()
    page = client.post(reverse("printing-cancel", args=[job.pk]), follow=True)
    assert "Cancelled by robin" in text(page)
    said = client.post(reverse("printing-again", args=[job.pk]), {"after": "1"}, follow=True)
    assert "Not needed any more: cancelled by robin." in text(said)
    assert 1 == odd.jobs
    assert 404 == client.post(reverse("printing-cancel", args=[job.pk])).status_code


def test_after_trying_again_one_comes_back_to_a_page_of_this_program_only(client, walk, odd):
    donation = walk.weighed("dog")
    odd.job = lambda: failed(0x0504)
    answer(client, printing_page(donation))
    address = reverse("printing-again", args=[PrintJob.objects.get().pk])
    for after, (then, lands) in enumerate(
        [
            ("https://elsewhere.example/", "/printing/"),
            ("//elsewhere.example/", "/printing/"),
            ("/labels/", "/labels/"),
        ],
        1,
    ):
        assert lands == client.post(address, {"after": str(after), "then": then}).url
