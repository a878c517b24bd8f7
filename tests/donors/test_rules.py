"""Who may give, what type they are, and how they are on the day."""

from datetime import UTC, date, datetime, timedelta

import pytest

from buffycoat.donors.rules import Donor, ExamineDonor, RegisterDonor, TypeBlood, age_months, why_not_today
from buffycoat.site.rules import SetLimit
from tests.walk import DONORS, START, pure_walk, unknown

NOBODY = unknown("D")


def register(of="dog", **but):
    return RegisterDonor(**{**DONORS[of], **but})


@pytest.mark.parametrize(
    ("command", "reasons"),
    [
        (register(), []),
        (register("cat"), []),
        (register(name=" "), ["Give the donor's name."]),
        (register(species="cow"), ["cow is no species that we draw: choose dog or cat."]),
        (register(species=""), ["Nothing is no species that we draw: choose dog or cat."]),
        (register(sex="x"), ["Choose female or male."]),
        (register(born_on=START.date()), []),
        (register(born_on=date(2025, 3, 11)), ["11 Mar 2025 is still to come: give the day of birth."]),
        (register(born_on=date(1995, 3, 10)), []),
        (
            register(born_on=date(1995, 2, 10)),
            ["Born 10 Feb 1995 is more than 30 years ago: check the year."],
        ),
    ],
)
def test_a_donor_is_registered_or_refused_in_words(command, reasons):
    assert reasons == pure_walk().why_not(command)


def test_every_reason_against_a_donor_comes_at_once():
    assert 4 == len(pure_walk().why_not(register(name="", species="cow", sex="", born_on=date(2030, 1, 1))))


def test_what_is_typed_is_kept_without_the_blanks_around_it():
    walk = pure_walk()
    registered = walk.look(Donor, walk.a_donor(name=" Bramble ", breed=" mixed ")).registered
    assert ("Bramble", "mixed") == (registered.name, registered.breed)


def test_the_day_of_birth_is_judged_by_the_clock_of_the_site():
    walk = pure_walk()
    walk.at = datetime(2025, 3, 10, 23, 30, tzinfo=UTC)
    tomorrow = register(born_on=date(2025, 3, 11))
    assert ["11 Mar 2025 is still to come: give the day of birth."] == walk.why_not(tomorrow)
    walk.do(SetLimit(key="time_zone", value="Asia/Tokyo", reason="The site moved"))
    assert [] == walk.why_not(tomorrow)


@pytest.mark.parametrize(
    ("born_on", "on", "months"),
    [
        (date(2024, 3, 10), date(2025, 3, 9), 11),
        (date(2024, 3, 10), date(2025, 3, 10), 12),
        (date(2024, 2, 29), date(2025, 2, 28), 11),
        (date(2024, 2, 29), date(2025, 3, 1), 12),
        (date(2024, 12, 31), date(2025, 1, 1), 0),
    ],
)
def test_age_is_counted_in_whole_months_lived(born_on, on, months):
    assert months == age_months(born_on, on)


@pytest.mark.parametrize(
    ("species", "blood_type", "reasons"),
    [
        ("dog", "DEA 1 positive", []),
        ("cat", "AB", []),
        (
            "dog",
            "A",
            [
                "A is no blood type of a dog: choose DEA 1 positive, DEA 1 negative, or positive or negative of "
                "DEA 3, DEA 4, DEA 5, DEA 7, Dal, Kai 1, Kai 2."
            ],
        ),
        (
            "cat",
            "DEA 1 negative",
            ["DEA 1 negative is no blood type of a cat: choose A, B, AB, or positive or negative of Mik."],
        ),
    ],
)
def test_a_blood_type_belongs_to_its_species(species, blood_type, reasons):
    walk = pure_walk()
    donor = walk.a_donor(species, typed=False)
    assert reasons == walk.why_not(TypeBlood(donor=donor, blood_type=blood_type))


@pytest.mark.parametrize(
    "command",
    [
        TypeBlood(donor=NOBODY, blood_type="A"),
        ExamineDonor(donor=NOBODY, weight_g=30_000, pcv_permille=450),
    ],
)
def test_an_unknown_donor_is_said_to_be_unknown(command):
    refusal = f"No donor has the number {NOBODY}: scan the donor's card again, or register the donor."
    assert [refusal] == pure_walk().why_not(command)


@pytest.mark.parametrize(
    ("species", "weight_g", "taken"),
    [
        ("dog", 999, False),
        ("dog", 1_000, True),
        ("dog", 120_000, True),
        ("dog", 120_001, False),
        ("cat", 999, False),
        ("cat", 15_000, True),
        ("cat", 15_001, False),
    ],
)
def test_a_weight_that_no_such_animal_has_is_weighed_again(species, weight_g, taken):
    walk = pure_walk()
    donor = walk.a_donor(species)
    (least, most) = (1, 120) if species == "dog" else (1, 15)
    refusal = f"{weight_g / 1000:g} kg is no weight of a donor {species} ({least} to {most} kg): weigh again."
    assert ([] if taken else [refusal]) == walk.why_not(
        ExamineDonor(donor=donor, weight_g=weight_g, pcv_permille=450)
    )


@pytest.mark.parametrize(("pcv_permille", "taken"), [(49, False), (50, True), (750, True), (751, False)])
def test_a_pcv_that_no_living_animal_has_is_read_again(pcv_permille, taken):
    walk = pure_walk()
    refusal = f"A PCV of {pcv_permille / 10:g} % is not read in a living animal (5 to 75 %): read it again."
    examine = ExamineDonor(donor=walk.a_donor(), weight_g=30_000, pcv_permille=pcv_permille)
    assert ([] if taken else [refusal]) == walk.why_not(examine)


def today(walk, donor, at=None):
    return list(why_not_today(walk.look, donor, at or walk.at))


@pytest.mark.parametrize(
    ("species", "weight_g", "reasons"),
    [
        ("dog", 25_000, []),
        ("dog", 24_999, ["Bramble weighs 24.999 kg; this site draws from 25 kg on."]),
        ("cat", 4_000, []),
        ("cat", 3_999, ["Sorrel weighs 3.999 kg; this site draws from 4 kg on."]),
    ],
)
def test_a_donor_is_heavy_enough_on_the_day(species, weight_g, reasons):
    walk = pure_walk()
    donor = walk.a_donor(species)
    walk.do(ExamineDonor(donor=donor, weight_g=weight_g, pcv_permille=420))
    assert reasons == today(walk, donor)


@pytest.mark.parametrize(
    ("species", "pcv_permille", "reasons"),
    [
        ("dog", 400, []),
        ("dog", 399, ["PCV 39.9 %; this site draws from 40 % on."]),
        ("cat", 350, []),
        ("cat", 349, ["PCV 34.9 %; this site draws from 35 % on."]),
    ],
)
def test_a_donor_has_red_cells_to_spare_on_the_day(species, pcv_permille, reasons):
    walk = pure_walk()
    donor = walk.a_donor(species)
    walk.do(
        ExamineDonor(donor=donor, weight_g=30_000 if species == "dog" else 5_000, pcv_permille=pcv_permille)
    )
    assert reasons == today(walk, donor)


@pytest.mark.parametrize(
    ("born_on", "reasons"),
    [
        (date(2024, 3, 10), []),
        (date(2024, 3, 11), ["Bramble is 11 months old; this site draws from 12 months on."]),
        (date(2017, 3, 10), []),
        (date(2017, 2, 11), []),
        (date(2017, 2, 10), ["Bramble is 97 months old; this site draws up to 96 months."]),
    ],
)
def test_a_donor_is_of_an_age_to_give(born_on, reasons):
    walk = pure_walk()
    assert reasons == today(walk, walk.a_donor(born_on=born_on))


def test_weight_and_pcv_are_of_the_same_day_by_the_clock_of_the_site():
    walk = pure_walk()
    first = "Weigh Bramble and read the PCV first: both must be of today."
    assert [first] == today(walk, walk.a_donor(examined=False))
    donor = walk.a_donor()
    midnight = datetime(2025, 3, 11, tzinfo=UTC)
    assert [] == today(walk, donor, midnight - timedelta(seconds=1))
    assert [first] == today(walk, donor, midnight)
    walk.do(SetLimit(key="time_zone", value="America/New_York", reason="The site moved"))
    assert [] == today(walk, donor, midnight)


def test_a_donor_gives_again_when_the_interval_is_over_and_not_a_day_before():
    walk = pure_walk()
    donor = walk.a_donor()
    walk.drawn(donor=donor)
    due = START + timedelta(days=56)
    for at, reasons in [
        (due - timedelta(days=1), ["Bramble gave on 10 Mar 2025 and may give again from 05 May 2025."]),
        (due, []),
    ]:
        walk.at = at
        walk.do(ExamineDonor(donor=donor, weight_g=32_000, pcv_permille=450))
        assert reasons == today(walk, donor)


def test_a_limit_that_the_site_sets_is_the_one_that_holds():
    walk = pure_walk()
    donor = walk.a_donor()
    walk.do(SetLimit(key="dog_least_weight_g", value=33_000, reason="Our own rule"))
    assert ["Bramble weighs 32 kg; this site draws from 33 kg on."] == today(walk, donor)
