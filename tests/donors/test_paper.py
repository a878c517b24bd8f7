from datetime import UTC, date, datetime

from buffycoat.donors.models import DonorRow
from buffycoat.donors.paper import donor_card, donor_cards, thank_you
from buffycoat.donors.rules import TYPE_UNKNOWN
from buffycoat.science.numbering import make_code
from buffycoat.site.rules import Limits
from tests.reading_paper import CODE_128, DATA_MATRIX, PRINTER_DPI, codes_of, missing, pages_mm, run_over

SITE = Limits(number="limits", set_here={"site_name": "Invented bank"})
DONOR = DonorRow(
    donor=make_code("D", "KTRA", 17),
    name="Bramble",
    species="dog",
    sex="female",
    born_on=date(2021, 5, 1),
    breed="greyhound",
    blood_type="DEA 1 negative",
)


def test_a_donors_card_names_the_donor_and_reads():
    made = donor_card(DONOR, SITE)
    wanted = [
        "DONOR",
        "Bramble",
        "DOG",
        "DEA 1 negative",
        "DKTRA-0000017-71",
        "born 1 May 2021",
        "Invented bank",
    ]
    assert [] == missing(made, *wanted)
    assert [(CODE_128, DONOR.donor), (DATA_MATRIX, DONOR.donor)] == codes_of(made, PRINTER_DPI)
    assert [] == run_over(made)


def test_a_donor_that_was_not_typed_says_so():
    untyped = DonorRow(
        donor=DONOR.donor,
        name="Sorrel",
        species="cat",
        sex="male",
        born_on=date(2022, 2, 1),
        blood_type=TYPE_UNKNOWN,
    )
    assert [] == missing(donor_card(untyped, SITE), "type not known", "CAT")


def test_donors_cards_come_ten_to_a_sheet():
    assert [(210.0, 297.0)] == pages_mm(donor_cards([DONOR] * 10, SITE))


def test_the_owner_is_thanked_with_the_donors_name_and_no_code_of_it():
    last_at = datetime(2025, 3, 10, 9, tzinfo=UTC)
    made = thank_you(DONOR, 2, last_at, SITE)
    wanted = ["Thank you, Bramble", "Bramble has given blood twice.", "Last on 10 Mar 2025.", "5 May 2025"]
    assert [] == missing(made, *wanted, "DEA 1 negative", "Invented bank")
    assert [] == codes_of(made, PRINTER_DPI)
    assert [] == run_over(made)
    assert [(148.0, 210.0)] == pages_mm(made)


def test_a_retired_donor_is_thanked_and_not_asked_again():
    retired = DonorRow(name="Ash", species="dog", blood_type=TYPE_UNKNOWN, retired="Old")
    made = thank_you(retired, 3, datetime(2025, 3, 10, 9, tzinfo=UTC), SITE)
    assert [] == missing(made, "given blood 3 times")
    assert ["May give again"] == missing(made, "May give again")
