"""A list comes into the book whole or not at all, row by row with reasons, and never twice."""

from datetime import UTC, date, datetime, timedelta

import pytest

from buffycoat.donors.models import DonorRow
from buffycoat.donors.rules import Donor, may_give
from buffycoat.earlier.models import EarlierDonationRow, OldNumberRow
from buffycoat.journal.book import Book
from buffycoat.journal.facts import Refused
from buffycoat.journal.models import Entry
from buffycoat.journal.strike import strike
from buffycoat.lists import deciding
from buffycoat.lists.deciding import HERE, REFUSED, TAKEN, bring_in, fingerprint, judged
from buffycoat.people.models import OwnerContact
from tests.lists.sheets import CONTINENTAL, PLAIN, told, workbook
from tests.pages import near_noon, nothing_recorded

pytestmark = pytest.mark.django_db


def verdicts(rows):
    return [(row.number, row.verdict) for row in rows]


def reasons(content, kind="donors", **said):
    """By row, of those that are refused."""
    return {row.number: row.reasons for row in judged(told(content, kind, **said)) if row.verdict == REFUSED}


def the_donor(name):
    row = DonorRow.objects.get(name=name)
    return row, Book()(Donor, row.donor)


def test_a_list_of_plain_commas_becomes_donors():
    rows = bring_in(told(PLAIN), by="robin")
    assert [(2, TAKEN), (3, TAKEN), (4, TAKEN)] == verdicts(rows)
    row, donor = the_donor("Bramble")
    assert ("dog", "female", date(2021, 5, 1), "Lurcher") == (row.species, row.sex, row.born_on, row.breed)
    assert ("900000000000123", "DEA 1 negative", 28_400) == (row.chip, row.blood_type, row.weight_g)
    assert ("D-17", 450, "row 2 of invented.csv") == (
        donor.brought_in.old_number,
        donor.brought_in.pcv_permille,
        donor.brought_in.row,
    )
    assert "DEA 1 positive" == the_donor("Quill")[0].blood_type
    assert "A" == the_donor("Sorrel")[0].blood_type
    assert {"D-17", "D-18", "C-03"} == set(OldNumberRow.objects.values_list("old_number", flat=True))


def test_a_list_from_the_continent_becomes_donors():
    rows = bring_in(told(CONTINENTAL.encode("cp1252")), by="robin")
    assert [(4, TAKEN), (5, TAKEN), (6, TAKEN)] == verdicts(rows)
    row, _ = the_donor("Bärbel")
    assert (28_400, date(2021, 5, 13), "DEA 1 negative") == (row.weight_g, row.born_on, row.blood_type)
    assert ("cat", "female", "B") == (
        the_donor("Mieze")[0].species,
        the_donor("Mieze")[0].sex,
        the_donor("Mieze")[0].blood_type,
    )


def test_a_workbook_becomes_donors_and_every_reason_against_a_row_is_told_at_once():
    list_of = told(workbook(), columns={"species": "Canine/Feline", "weight": "Weight lbs"})
    rows = bring_in(list_of, by="robin")
    assert [(3, TAKEN), (5, TAKEN), (6, REFUSED), (7, REFUSED)] == verdicts(rows)
    assert 30_164 == the_donor("Juniper")[0].weight_g  # 66.5 lb
    assert ("900000000000201", date(2020, 7, 25)) == (
        the_donor("Juniper")[0].chip,
        the_donor("Thistle")[0].born_on,
    )
    assert ("Born: “03/04/2022” may be 03 Apr 2022 or 04 Mar 2022: say which comes first.",) == rows[
        2
    ].reasons
    assert (
        "Born: “30/02/2021”: there is no such day in the calendar.",
        "Sex: the cell is empty.",
        "Weight: the cell holds a formula, and none is worked out here: paste its value.",
        "Weighed on: the cell holds the error #REF!: correct it.",
    ) == rows[3].reasons


def test_what_the_book_has_against_a_row_is_told_with_the_rest():
    row = "Name,Species,Sex,Born,Chip,Blood type,Weight (kg)\nOdd,dog,f,2019-01-01,12,A,300\n"
    assert {
        2: (
            "“12” is no chip number: 15 figures, or 9 or 10 characters of an older chip. Read it again.",
            "A is no blood type of a dog: choose DEA 1 positive, DEA 1 negative, or positive or negative of "
            "DEA 3, DEA 4, DEA 5, DEA 7, Dal, Kai 1, Kai 2.",
            "300 kg is no weight of a donor dog (1 to 120 kg): weigh again.",
        )
    } == reasons(row)


def test_a_day_that_can_be_read_in_two_ways_waits_until_the_order_is_chosen():
    row = "Name,Species,Sex,Born\nFennel,cat,f,03/04/2022\n"
    assert [2] == list(reasons(row))
    for order, born_on in (("day first", date(2022, 4, 3)), ("month first", date(2022, 3, 4))):
        [found] = judged(told(row, date_order=order))
        assert born_on == found.wanted.command.born_on


def test_a_weight_without_a_unit_waits_until_the_unit_is_chosen():
    row = "Name,Species,Sex,Born,Weight\nFennel,cat,f,2022-04-03,11\n"
    assert {
        2: ("Weight: “11”: kg or lb? Say it for the whole list, or write it in the heading.",)
    } == reasons(row)
    assert [4_990] == [each.wanted.command.weight_g for each in judged(told(row, weight_unit="lb"))]
    assert [11_000] == [each.wanted.command.weight_g for each in judged(told(row, weight_unit="kg"))]


def test_weight_and_pcv_of_a_list_are_never_taken_for_those_of_today():
    bring_in(told(PLAIN), by="robin")
    row, donor = the_donor("Bramble")
    assert 28_400 == row.weight_g
    assert donor.examined is None
    assert "measured" in {
        each.key
        for each in may_give(Book(), row.donor, datetime.now(UTC)).checks
        if each.verdict == "may not give"
    }


def test_a_type_from_a_list_is_one_reading_and_another_person_reads_the_second():
    bring_in(told(PLAIN), by="robin")
    assert "read once" == the_donor("Bramble")[1].type_in("DEA 1").how


def test_the_owner_is_kept_beside_the_journal_and_never_in_it():
    bring_in(told(PLAIN), by="robin")
    contact = OwnerContact.objects.get(donor=the_donor("Bramble")[0].donor)
    assert ("R. Example", "+00 1234 567", "r@example.org") == (
        contact.name,
        contact.phone,
        contact.email,
    )
    assert 2 == OwnerContact.objects.count()  # one of three has none
    assert not Entry.objects.filter(line__contains="Example").exists()
    assert not Entry.objects.filter(line__contains="1234 567").exists()


def test_the_same_list_again_brings_nothing():
    bring_in(told(PLAIN), by="robin")
    with nothing_recorded():
        rows = bring_in(told(PLAIN), by="robin")
    assert {HERE} == {row.verdict for row in rows}
    assert 2 == OwnerContact.objects.count()


@pytest.mark.parametrize(
    ("row", "verdict"),
    [
        ("D-17,Another,dog,f,2020-01-01,", HERE),  # by its number before
        ("d - 17,Another,dog,f,2020-01-01,", HERE),  # however it is written
        (",Renamed,dog,f,2021-05-01,900000000000123", HERE),  # by its chip
        (",Bramble,dog,f,2021-05-01,", HERE),  # by name, species and birth, where there is nothing better
        ("D-99,Bramble,dog,f,2021-05-01,900000000000999", TAKEN),  # another chip: another dog
        (",Bramble,cat,f,2021-05-01,", TAKEN),
    ],
)
def test_a_donor_is_known_again(row, verdict):
    bring_in(told(PLAIN), by="robin")
    [found] = judged(told(f"Donor ID,Name,Species,Sex,Born,Chip\n{row}\n"))
    assert verdict == found.verdict


def test_two_rows_of_one_list_that_tell_the_same_animal_are_told():
    twice = (
        "Name,Species,Sex,Born,Chip\nA,dog,f,2020-01-01,900000000000123\nB,dog,f,2020-01-02,900000000000123\n"
    )
    assert {3: ("Row 2 tells the same: delete one of the two.",)} == reasons(twice)


def test_a_fault_between_two_rows_leaves_the_book_as_it_was(monkeypatch):
    real, written = deciding.record, []

    def breaks(command, **rest):
        if len(written) == 2:
            raise OSError("planted")
        written.append(command)
        return real(command, **rest)

    monkeypatch.setattr(deciding, "record", breaks)
    with nothing_recorded(), pytest.raises(OSError, match="planted"):
        bring_in(told(PLAIN), by="robin")
    assert 2 == len(written)
    assert [0, 0, 0] == [each.objects.count() for each in (DonorRow, OwnerContact, OldNumberRow)]
    monkeypatch.setattr(deciding, "record", real)  # the control: without the fault all of it comes in
    bring_in(told(PLAIN), by="robin")
    assert 3 == DonorRow.objects.count()


def test_a_refusal_while_rows_are_written_takes_all_of_them_back(monkeypatch):
    real = deciding.record

    def refuses(command, **rest):
        if command.name == "Sorrel":
            raise Refused("planted")
        return real(command, **rest)

    monkeypatch.setattr(deciding, "record", refuses)
    with nothing_recorded(), pytest.raises(Refused, match="Row 4: planted"):
        bring_in(told(PLAIN), by="robin")


def test_what_was_seen_is_what_comes_in_or_nothing():
    seen = fingerprint(judged(told(PLAIN)))
    bring_in(told(PLAIN.splitlines()[0] + "\n" + PLAIN.splitlines()[1] + "\n"), by="kim")
    with nothing_recorded(), pytest.raises(Refused, match="Something else was recorded meanwhile"):
        bring_in(told(PLAIN), by="robin", expected=seen)


def test_a_row_that_was_a_mistake_is_struck_whole_and_may_come_again():
    bring_in(told(PLAIN), by="robin")
    strike(Entry.objects.filter(kind="donor-registered").first().number, reason="Not ours.", by="kim")
    assert not DonorRow.objects.filter(name="Bramble").exists()
    assert [TAKEN, HERE, HERE] == [row.verdict for row in bring_in(told(PLAIN), by="robin")]


GAVE = """\
Donor ID,Date,Bag number,Volume (ml),Weight (kg),PCV
D-17,2024-01-10,B-1,450,28.1,44
d-17,2023-10-02 14:30,B-2,430,27.9,
Quill,2024-02-01,,450,,46
900000000000124,2024-03-01,,"4,5",,
Nobody,2024-03-01,,450,,
D-17,1999-01-01,,450,,
,2024-03-01,,,,
C-03,03/04/2024,,50,,
"""


def given():
    near_noon(timedelta())
    bring_in(told(PLAIN), by="robin")


def test_past_donations_are_known_by_any_number_of_the_donor():
    given()
    rows = bring_in(told(GAVE, "donations"), by="robin")
    assert [TAKEN, TAKEN, TAKEN, TAKEN, REFUSED, REFUSED, REFUSED, REFUSED] == [row.verdict for row in rows]
    assert 4 == EarlierDonationRow.objects.count()
    assert (
        "Donor: no donor here is called “Nobody”: bring in the list of donors first.",
        "Bramble was born on 01 May 2021 and cannot have given on 01 Jan 1999.",
        "Donor: the cell is empty.",
        "Gave on: “03/04/2024” may be 03 Apr 2024 or 04 Mar 2024: say which comes first.",
    ) == tuple(row.reasons[0] for row in rows[4:])


def test_past_donations_come_in_once():
    given()
    bring_in(told(GAVE, "donations"), by="robin")
    with nothing_recorded():
        again = bring_in(told(GAVE, "donations"), by="robin")
    assert [HERE] * 4 == [row.verdict for row in again[:4]]


def test_a_past_donation_is_dated_to_its_day_and_counts_for_interval_and_year():
    given()
    bring_in(told(GAVE, "donations"), by="robin")
    row, donor = the_donor("Bramble")
    assert ["B-1", "B-2"] == [each.donation for each in donor.gave_before]
    assert date(2024, 1, 10) == row.last_drawn_at.date()
    told_of = {
        each.key: each.words
        for each in may_give(Book(), row.donor, datetime(2024, 1, 20, 12, tzinfo=UTC)).checks
    }
    assert "Bramble gave on 10 Jan 2024 and may give again from 06 Mar 2024." == told_of["interval"]
    assert told_of["yearly"].startswith("Bramble gave twice in the last 365 days")


def test_nobody_is_called_about_a_donation_from_before_the_book():
    given()
    bring_in(told(GAVE, "donations"), by="robin")
    assert not the_donor("Bramble")[0].calls.exists()
