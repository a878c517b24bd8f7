"""Setting a printer up, and trying it."""

import pytest
from django.http import HttpResponse

from buffycoat.benches.forms import BenchSetUpForm
from buffycoat.benches.here import stay
from buffycoat.benches.keyboard import CARD
from buffycoat.benches.models import Bench
from buffycoat.printing import printer as printing
from buffycoat.printing.documents import document
from buffycoat.printing.models import PrintJob
from buffycoat.printing.paper import BARS
from tests.harness.printer import NAME, printer
from tests.pages import text
from tests.reading_paper import PRINTER_DPI, codes_of, only_black, pages_mm, run_over

pytestmark = pytest.mark.one_database

SET_UP = {"name": "Window bench", "scale": "none", "volume_percent": "60"}


@pytest.fixture(autouse=True)
def _time_enough(monkeypatch):
    monkeypatch.setattr(printing, "PATIENCE_S", 60)


@pytest.fixture
def bench(client):
    made = Bench.objects.create(name="Window bench", printer="the window printer")
    client.cookies.update(stay(HttpResponse(), made).cookies)
    return made


def test_the_test_label_comes_out_of_a_real_printer_which_says_how_it_is(client, bench, tmp_path):
    with printer(tmp_path / "spool") as real:
        bench.printer_address = real.address
        bench.save()
        page = client.post("/printing/test-label/", follow=True)
        (paper,) = (file.read_bytes() for file in real.printed())
    for told in (NAME, "ready", "8.5 × 11 in", "A test label was sent to it"):
        assert told in text(page)
    assert {BARS, CARD} == {code for _, code in codes_of(paper, PRINTER_DPI)}
    assert [(100.0, 100.0)] == pages_mm(paper)
    assert only_black(paper)
    assert [] == run_over(paper)


def test_a_printer_that_is_off_says_so_and_makes_no_job(client, bench, tmp_path):
    with printer(tmp_path / "spool") as real:
        bench.printer_address = real.address
        bench.save()
    assert "The printer cannot be reached." in text(client.post("/printing/test-label/", follow=True))
    assert not PrintJob.objects.exists()


def test_without_an_address_there_is_nothing_to_try(client, bench):
    assert "Give the printer's address" in text(client.post("/printing/test-label/", follow=True)).replace(
        "&#x27;", "'"
    )
    assert not PrintJob.objects.exists()


@pytest.mark.django_db
def test_an_address_that_is_no_printers_is_refused_with_how_it_should_look():
    form = BenchSetUpForm({**SET_UP, "printer_address": "http://192.0.2.7/"}, bench=None)
    assert not form.is_valid()
    assert ["A printer's address begins with ipp:// or ipps://."] == [
        sentence.partition(" Write")[0] for sentence in form.errors["printer_address"]
    ]
    good = BenchSetUpForm({**SET_UP, "printer_address": "ipp://192.0.2.7"}, bench=None)
    assert good.is_valid(), good.errors
    assert "ipp://192.0.2.7:631/ipp/print" == good.cleaned_data["printer_address"]


@pytest.mark.parametrize("name", ["", "label", "nothing/1", "test/other"])
@pytest.mark.django_db
def test_there_is_no_document_of_an_unknown_name(name):
    assert document(name) is None
