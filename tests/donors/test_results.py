"""A laboratory's results by file: each row accepted or refused in words, then all recorded together, and once."""

import re
from datetime import date, timedelta
from html import unescape
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from buffycoat.cli.main import main
from buffycoat.donors.results_file import EXAMPLE, MOST_ROWS, NoList, judged, read_rows
from buffycoat.donors.rules import Donor, LabResult, ReadChip, RecordResults, RecordTest, SetPanelTest
from buffycoat.journal.models import Entry
from buffycoat.science.numbering import show_code
from buffycoat.site.rules import limits
from buffycoat.storage.stock import stock
from tests.pages import near_noon, text
from tests.walk import START, pure_walk, unknown

HEAD = "donor,agent,method,result,sampled"
CHIP = "900000000000001"
GIBSONI, VOGELI = "Babesia gibsoni", "Babesia vogeli"


def sheet(*rows, head=HEAD):
    return "\n".join([head, *rows]).encode()


def on(days_ago=1):
    return f"{START.date() - timedelta(days=days_ago)}"


@pytest.fixture
def pure():
    return pure_walk()


def look_at(walk, sent, chips=()):
    return judged(read_rows(sent), walk.look, walk.at, dict(chips))


def whys(walk, *rows, **chips):
    return [each.reasons for each in look_at(walk, sheet(*rows), chips.items())]


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("before", ["", "\ufeff"])
def test_a_row_is_read_whatever_separates_its_cells(pure, separator, before):
    donor = pure.a_donor()
    text = f"{before}{HEAD}\n {show_code(donor).lower()} ,babesia  gibsoni,pcr,NEGATIVE,{on()}\n\n"
    [found] = look_at(pure, text.replace(",", separator).encode())
    wanted = LabResult(
        donor=donor, agent=GIBSONI, method="PCR", result="negative", taken_on=date.fromisoformat(on())
    )
    assert ((), wanted, "Bramble", 2) == (found.reasons, found.result, found.name, found.row.number)


def test_columns_stand_in_any_order_and_others_are_left_out(pure):
    donor = pure.a_donor()
    head = 'Sampled,RESULT,price,laboratory," agent ",method,donor'
    [found] = look_at(pure, sheet(f'{on()},positive,9,"Lab, invented",{GIBSONI},PCR,{donor}', head=head))
    assert ("positive", "Lab, invented") == (found.result.result, found.result.laboratory)


def test_a_donor_is_found_by_its_chip(pure):
    donor = pure.a_donor()
    [found] = look_at(pure, sheet(f"900 000 000 000 001,{GIBSONI},PCR,negative,{on()}"), [(CHIP, [donor])])
    assert donor == found.result.donor


@pytest.mark.parametrize(
    ("row", "reasons"),
    [
        ("{nobody},Babesia gibsoni,PCR,negative,{on}", ["No donor has the number {nobody}."]),
        ("900000000000002,Babesia gibsoni,PCR,negative,{on}", ["No donor has the chip 900000000000002."]),
        (
            "900000000000009,Babesia gibsoni,PCR,negative,{on}",
            ["2 donors have the chip 900000000000009: give the donor's number instead."],
        ),
        (
            ",Babesia gibsoni,PCR,negative,{on}",
            ["The donor is missing: give its number or its chip."],
        ),
        (
            "{donor},Babesia gibsonii,PCR,negative,{on}",
            ["“Babesia gibsonii” is no agent that is known here. Did you mean “Babesia gibsoni”?"],
        ),
        (
            "{donor},Babesia gibsoni,blood,negative,{on}",
            ["“blood” is no method that is known here. Known here: PCR, serology, antigen, culture, smear."],
        ),
        ("{donor},Babesia gibsoni,PCR,,{on}", ["The result is missing."]),
        (
            "{donor},Babesia gibsoni,PCR,negative,03/04/2025",
            ["“03/04/2025” is no day by year, month and day: write it like 2026-03-04."],
        ),
        (
            "{donor},Babesia gibsoni,PCR,negative,2025-02-30",
            ["“2025-02-30” is no day by year, month and day: write it like 2026-03-04."],
        ),
        (
            "{donor},Babesia gibsoni,PCR,negative,2099-01-01",
            ["01 Jan 2099 is still to come: give the day on which it was."],
        ),
        (
            "{donor},Babesia gibsoni,PCR,negative,2020-01-01",
            ["Bramble was not born then (01 May 2021): is it another animal?"],
        ),
        (
            "{donor}",
            [
                "The agent is missing.",
                "The method is missing.",
                "The result is missing.",
                "“” is no day by year, month and day: write it like 2026-03-04.",
            ],
        ),
    ],
)
def test_a_row_that_cannot_be_is_refused_with_every_reason(pure, row, reasons):
    names = {"donor": pure.a_donor(), "nobody": unknown("D"), "on": on()}
    chips = {"900000000000009": ["one", "two"]}
    [found] = look_at(pure, sheet(row.format(**names)), chips.items())
    assert [each.format(**names) for each in reasons] == list(found.reasons)
    assert found.result is None


def test_an_agent_that_only_this_site_looks_for_is_taken(pure):
    donor, row = pure.a_donor(), "{},Invented agent,PCR,negative,{}"
    assert "is no agent that is known here." in whys(pure, row.format(donor, on()))[0][0]
    own = {"species": "dog", "agent": "Invented agent", "method": "PCR"}
    pure.do(SetPanelTest(**own, interval_days=100, reason="Ours"))
    assert [()] == whys(pure, row.format(donor, on()))


def test_a_row_that_stands_twice_in_the_file_or_in_the_book_is_taken_once(pure):
    donor = pure.a_donor()
    row = f"{donor},{GIBSONI},PCR,negative,{on()}"
    assert [(), ("It stands in this list twice.",)] == whys(pure, row, row)
    [found] = look_at(pure, sheet(row))
    pure.do(found.result.as_one())
    assert [("It stands in the book already.",)] == whys(pure, row)


def test_no_negative_result_stands_beside_a_positive_one_of_the_same_sample(pure):
    donor = pure.a_donor()
    positive, negative = (f"{donor},{GIBSONI},PCR,{result},{on()}" for result in ("positive", "negative"))
    refused = ("The same sample is positive as well: ask the laboratory which of them holds.",)
    assert [refused, ()] == whys(pure, negative, positive)
    [found] = look_at(pure, sheet(positive))
    pure.do(found.result.as_one())
    assert [refused, ()] == whys(pure, negative, f"{donor},{GIBSONI},PCR,negative,{on(0)}")


def test_a_positive_result_is_taken_although_a_negative_one_of_the_sample_stands(pure):
    donor = pure.a_donor()
    given = {"agent": GIBSONI, "method": "PCR", "taken_on": date.fromisoformat(on())}
    pure.do(RecordTest(donor=donor, result="negative", **given))
    assert [()] == whys(pure, f"{donor},{GIBSONI},PCR,positive,{on()}")


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        (b"", "The first row must name these columns, each once; missing: donor, agent"),
        (sheet(head="donor,agent,method,result,date"), "missing: sampled."),
        (sheet(head=f"{HEAD},donor"), "missing: donor."),
        (b"PK\x03\x04" + bytes(200), "This is no text in UTF-8. Save the sheet as “CSV, UTF-8”"),
        (sheet("x,Sch\u00f6n,PCR,negative,x").decode().encode("latin-1"), "This is no text in UTF-8."),
        (sheet('a,"b,c,d,e'), "This file is no CSV that can be read"),
        (
            sheet(*["a,b,c,d,e"] * (MOST_ROWS + 1)),
            "This file has 1001 rows; at most 1000 are taken at a time.",
        ),
        (sheet("a" * 200_000), "This file has 200 kB; at most 200 kB are taken."),
    ],
)
def test_a_file_that_cannot_be_read_is_refused_in_one_sentence(sent, sentence):
    with pytest.raises(NoList) as refused:
        read_rows(sent)
    assert sentence in str(refused.value)


def test_the_example_that_is_shown_can_be_read():
    assert ["900000000000001"] == [row.donor for row in read_rows(EXAMPLE.encode())]


def test_the_command_itself_refuses_all_when_it_refuses_one(pure):
    donor = pure.a_donor()
    good = LabResult(donor=donor, agent=GIBSONI, method="PCR", result="negative", taken_on=START.date())
    bad = LabResult(donor=donor, agent="Nonsense", method="PCR", result="negative", taken_on=START.date())
    refused = "“Nonsense” is not looked for in a dog here: add it to the panel first."
    assert [f"Result 2, Nonsense by PCR: {refused}"] == pure.why_not(RecordResults(results=(good, bad)))
    assert ["No result is left to be recorded."] == pure.why_not(RecordResults(results=()))


@pytest.fixture
def walk(db):
    return near_noon(timedelta(days=10))


def send(client, *rows):
    return client.post("/donors/results/", {"file": SimpleUploadedFile("any.csv", sheet(*rows))})


def carried(page):
    return unescape(re.search(r'name="results" value="([^"]*)"', page.content.decode())[1])


def test_a_file_is_looked_at_first_and_then_recorded_in_one_go_and_once(client, walk):
    ash, birch, before = walk.a_donor(name="Ash"), walk.a_donor(name="Birch"), Entry.objects.count()
    walk.do(ReadChip(donor=birch, chip=CHIP))
    donation, other = walk.on_the_shelf(donor=birch), walk.on_the_shelf(donor=ash)
    day, before = walk.at.date(), Entry.objects.count()
    rows = (
        f"{ash},{GIBSONI},PCR,negative,{day}",
        f"{CHIP},{VOGELI},PCR,positive,{day}",
        f"{ash},{GIBSONI},PCR,sure,{day}",
    )
    page = send(client, *rows)
    assert "2 of 3 rows can be recorded, 1 of them positive" in text(page)
    assert "✗ refused. “sure” is no result that is known here." in text(page)
    assert before == Entry.objects.count()
    form = {"command_id": uuid4(), "results": carried(page)}
    first, again = client.post("/donors/results/", form), client.post("/donors/results/", form)
    assert first["Location"] == again["Location"] == "/donors/results/"
    assert before + 2 == Entry.objects.count()
    told = (
        "2 results of 2 donors recorded. 1 positive: what was given by a positive donor and is in date waits."
    )
    assert told in text(client.get("/donors/results/"))
    held = {unit.row.donation_id: unit.status for unit in stock(walk.at, limits(walk.look))}
    assert ("waiting", "ready") == (held[donation], held[other])
    once_more = text(send(client, *rows))
    assert "0 of 3 rows can be recorded" in once_more
    assert 2 == once_more.count("It stands in the book already.")
    assert before + 2 == Entry.objects.count()


def test_nothing_is_half_recorded_when_one_row_fails_on_the_way(client, walk, monkeypatch):
    """The control: without the planted fault the same form records both."""
    ash, birch, day = walk.a_donor(name="Ash"), walk.a_donor(name="Birch"), walk.at.date()
    page = send(client, f"{ash},{GIBSONI},PCR,negative,{day}", f"{birch},{GIBSONI},PCR,negative,{day}")
    form, before = {"command_id": uuid4(), "results": carried(page)}, Entry.objects.count()
    whole = LabResult.as_one

    def fails_at_the_second(result):
        if result.donor == birch and Entry.objects.count():
            raise RuntimeError("planted")
        return whole(result)

    def only_while_writing(command, look, at):
        monkeypatch.setattr(LabResult, "as_one", fails_at_the_second)
        yield from written(command, look, at)

    written = RecordResults.facts
    monkeypatch.setattr(RecordResults, "facts", only_while_writing)
    client.raise_request_exception = False
    assert 500 == client.post("/donors/results/", form).status_code
    assert before == Entry.objects.count()
    monkeypatch.undo()
    client.post("/donors/results/", form)
    assert before + 2 == Entry.objects.count()


def test_a_positive_row_that_is_refused_is_told_of_first(client, walk):
    page = text(send(client, f"900000000000003,{GIBSONI},PCR,positive,{walk.at.date()}"))
    assert (
        "Caution. Row 2 is positive and will not be recorded. No donor has the chip 900000000000003." in page
    )
    assert "No row of this file can be recorded. Nothing was changed." in page


@pytest.mark.parametrize("sent", ["", "{}", "[1]", '[{"donor": 1}]', "[" * 5_000])
def test_rows_that_came_back_damaged_change_nothing(client, walk, sent):
    before = Entry.objects.count()
    answer = client.post("/donors/results/", {"command_id": uuid4(), "results": sent})
    assert 200 == answer.status_code
    assert "<title>Error:" in answer.content.decode()
    assert before == Entry.objects.count()


def test_what_another_person_recorded_meanwhile_is_refused_and_said(client, walk):
    donor, day = walk.a_donor(), walk.at.date()
    page = send(client, f"{donor},{GIBSONI},PCR,negative,{day}")
    walk.do(RecordTest(donor=donor, agent=GIBSONI, method="PCR", result="negative", taken_on=day))
    refused = client.post("/donors/results/", {"command_id": uuid4(), "results": carried(page)})
    assert f"Result 1, {GIBSONI} by PCR: It stands in the book already." in text(refused)


def test_no_file_is_asked_for(client, walk):
    assert "No file was chosen. Choose the CSV file." in text(client.post("/donors/results/", {}))


def test_results_are_recorded_from_a_terminal_as_well(walk, capsys):
    donor, day = walk.a_donor(), walk.at.date()
    results = [f"{donor}={agent}=PCR=negative={day}" for agent in (GIBSONI, VOGELI)]
    assert 0 == main(["do", "record-results", "--by", "robin", "--results", *results])
    assert [GIBSONI, VOGELI] == [each.agent for each in walk.look(Donor, donor).tests]
