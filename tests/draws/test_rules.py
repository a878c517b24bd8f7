"""The draw: who gives how much into which set, and what the filled bag may become."""

from datetime import timedelta

import pytest

from buffycoat.donors.rules import ExamineDonor
from buffycoat.draws import rules
from buffycoat.draws.rules import DiscardDonation, Draw, FinishDraw, StartDraw
from buffycoat.site.rules import SetLimit, limits
from tests.walk import pure_walk, unknown

NOTHING_KNOWN = unknown("G")
NOBODY = unknown("D")


def start(walk, species="dog", **but):
    tare_g, wanted_ml = (260, 450) if species == "dog" else (40, 50)
    values = {"donor": "", "lot": "", "tare_g": tare_g, "wanted_ml": wanted_ml, **but}
    values["lot"] = values["lot"] or walk.a_lot(species)
    values["donor"] = values["donor"] or walk.a_donor(species)
    return StartDraw(**values)


def finished(walk, species="dog", **but):
    return walk.look(Draw, walk.drawn(species, **but)).finished


@pytest.mark.parametrize("species", ["dog", "cat"])
def test_a_fit_donor_gives_into_a_set_for_its_species(species):
    walk = pure_walk()
    assert [] == walk.why_not(start(walk, species))


def test_an_unknown_donor_gives_nothing():
    walk = pure_walk()
    refusal = f"No donor has the number {NOBODY}: scan the donor's card again, or register the donor."
    assert [refusal] == walk.why_not(start(walk, donor=NOBODY))


def test_an_animal_unfit_today_gives_nothing_and_every_reason_is_told():
    walk = pure_walk()
    donor = walk.a_donor()
    walk.do(ExamineDonor(donor=donor, weight_g=24_000, pcv_permille=390))
    assert [
        "Bramble weighs 24 kg; this site draws from 25 kg on.",
        "PCV 39 %; this site draws from 40 % on.",
        "450 mL is more than this donor can give: at 24 kg the largest draw is 432 mL (20 % of 2160 mL of blood).",
    ] == walk.why_not(start(walk, donor=donor))


def test_a_bag_set_for_the_other_species_is_put_back():
    walk = pure_walk()
    wrong = start(walk, "cat", donor=walk.a_donor("dog"))
    assert ["This bag set is for a cat, and Bramble is a dog."] == walk.why_not(wrong)


@pytest.mark.parametrize(("wanted_ml", "taken"), [(404, False), (405, True), (495, True), (496, False)])
def test_a_set_is_filled_as_far_as_its_anticoagulant_reaches(wanted_ml, taken):
    """450 ± 45 mL: Giger; UK Red Book A4.6."""
    refusal = (
        f"This set holds anticoagulant for 450 mL: draw 405 to 495 mL, or take a set made for {wanted_ml} mL."
    )
    walk = pure_walk()
    assert ([] if taken else [refusal]) == walk.why_not(start(walk, wanted_ml=wanted_ml))


@pytest.mark.parametrize(
    ("tare_g", "taken"), [(31, False), (32, True), (3_000, True), (3_001, False), (-260, False)]
)
def test_a_tare_below_the_empty_main_bag_or_above_any_bag_is_weighed_again(tare_g, taken):
    refusal = (
        f"A tare of {tare_g} g cannot be: the empty main bag alone has 32 g. "
        "Put the whole set on the scale and weigh again."
    )
    walk = pure_walk()
    assert ([] if taken else [refusal]) == walk.why_not(start(walk, tare_g=tare_g))


@pytest.mark.parametrize(
    ("species", "weight_g", "wanted_ml", "reasons"),
    [
        ("dog", 25_000, 450, []),
        (
            "dog",
            25_000,
            451,
            [
                "451 mL is more than this donor can give: at 25 kg the largest draw is 450 mL "
                "(20 % of 2250 mL of blood)."
            ],
        ),
        ("cat", 4_000, 48, []),
        (
            "cat",
            4_000,
            49,
            [
                "49 mL is more than this donor can give: at 4 kg the largest draw is 48 mL (20 % of 240 mL of blood)."
            ],
        ),
    ],
)
def test_nobody_gives_more_than_the_largest_draw(species, weight_g, wanted_ml, reasons):
    walk = pure_walk()
    donor = walk.a_donor(species)
    walk.do(ExamineDonor(donor=donor, weight_g=weight_g, pcv_permille=420))
    assert reasons == walk.why_not(start(walk, species, donor=donor, wanted_ml=wanted_ml))


def test_a_draw_keeps_what_it_was_decided_on():
    walk = pure_walk()
    begun = walk.look(Draw, walk.draw_started()).started
    assert (260, 450, 734, 1053) == (
        begun.tare_g,
        begun.wanted_ml,
        begun.target_g,
        begun.blood_density_mg_per_ml,
    )
    assert ("dog", 32_000, 450) == (begun.species, begun.weight_g, begun.pcv_permille)


def test_a_density_changed_during_a_draw_does_not_change_that_draw():
    walk = pure_walk()
    donation = walk.draw_started()
    walk.do(SetLimit(key="dog_blood_density_mg_per_ml", value=1_030, reason="Our own measurement"))
    walk.do(FinishDraw(donation=donation, gross_g=734))
    assert 450 == walk.look(Draw, donation).finished.volume_ml


@pytest.mark.parametrize(
    ("gross_g", "reasons"),
    [
        (260, ["260 g on the scale is no more than the empty set (260 g): is the bag hanging free?"]),
        (261, []),
        (3_000, []),
        (3_001, ["3001 g is heavier than any bag: read the scale again."]),
    ],
)
def test_a_full_bag_weighs_more_than_the_empty_set_and_less_than_any_bag(gross_g, reasons):
    walk = pure_walk()
    assert reasons == walk.why_not(FinishDraw(donation=walk.draw_started(), gross_g=gross_g))


def test_a_draw_is_finished_once():
    walk = pure_walk()
    again = FinishDraw(donation=walk.drawn(), gross_g=740)
    assert ["This draw was finished already, with 734 g on the scale."] == walk.why_not(again)


def test_a_draw_does_not_end_before_it_began():
    walk = pure_walk()
    donation = walk.draw_started()
    began = walk.look(Draw, donation).started_at
    finish = FinishDraw(donation=donation, gross_g=734)
    assert [] == walk.why_not(finish, began)
    assert [
        f"The step before was done on {began:%d %b, %H:%M}: this one cannot be earlier (10 Mar, 09:03)."
    ] == walk.why_not(finish, began - timedelta(minutes=1))


@pytest.mark.parametrize(
    "command",
    [FinishDraw(donation=NOTHING_KNOWN, gross_g=700), DiscardDonation(donation=NOTHING_KNOWN, reason="x")],
)
def test_an_unknown_donation_is_said_to_be_unknown(command):
    assert [f"No donation has the number {NOTHING_KNOWN}: scan the bag again."] == pure_walk().why_not(
        command
    )


# 1.053 g/mL: 404 mL is 425 g, 405 is 426; 495 is 521, 496 is 522; 299 is 315, 300 is 316.
@pytest.mark.parametrize(
    ("blood_g", "volume_ml", "filling", "gives_plasma", "usable", "because"),
    [
        (474, 450, "as wanted", True, True, ()),
        (426, 405, "as wanted", True, True, ()),
        (
            425,
            404,
            "low",
            False,
            True,
            ("Only 404 mL of 405 mL: red cells only, marked low volume; no plasma product.",),
        ),
        (
            316,
            300,
            "low",
            False,
            True,
            ("Only 300 mL of 405 mL: red cells only, marked low volume; no plasma product.",),
        ),
        (315, 299, "too low", False, False, ("Only 299 mL: too much anticoagulant for the blood. Discard.",)),
        (521, 495, "as wanted", True, True, ()),
        (
            522,
            496,
            "over",
            False,
            False,
            ("496 mL is over 495 mL: too little anticoagulant, it may clot. Discard.",),
        ),
    ],
)
def test_what_a_bag_may_become_is_decided_by_how_full_it_is(
    blood_g, volume_ml, filling, gives_plasma, usable, because
):
    end = finished(pure_walk(), gross_g=260 + blood_g)
    assert (blood_g, volume_ml, filling) == (end.blood_g, end.volume_ml, end.filling)
    assert (gives_plasma, usable, because) == (end.gives_plasma, end.usable, end.because)


@pytest.mark.parametrize(
    ("seconds", "gives_plasma", "because"),
    [
        (15 * 60, True, ()),
        (15 * 60 + 1, False, ("The draw took 16 min, over 15 min: no plasma product.",)),
    ],
)
def test_a_draw_longer_than_the_limit_gives_no_plasma_but_red_cells(seconds, gives_plasma, because):
    """Over 15 min, no plasma component for clinical use: UK Red Book 8.13."""
    end = finished(pure_walk(), minutes=seconds / 60)
    assert (gives_plasma, True, because) == (end.gives_plasma, end.usable, end.because)


def test_a_bag_both_low_and_slow_is_told_both():
    end = finished(pure_walk(), gross_g=260 + 400, minutes=20)
    assert (False, True, 2) == (end.gives_plasma, end.usable, len(end.because))


def test_the_site_may_ask_for_a_quicker_draw():
    walk = pure_walk()
    walk.do(SetLimit(key="longest_draw_min", value=10, reason="Our own rule"))
    assert not finished(walk, minutes=10.5).gives_plasma
    assert finished(walk, minutes=10).gives_plasma


def test_a_donation_is_discarded_with_a_reason():
    walk = pure_walk()
    donation = walk.drawn()
    assert [] == walk.why_not(DiscardDonation(donation=donation, reason="The bag leaked."))
    assert [
        "Say why it is discarded: clot, leak, too little, too much, broken set, or what you saw."
    ] == walk.why_not(DiscardDonation(donation=donation, reason=" "))


def test_nothing_is_done_with_a_donation_that_was_discarded():
    walk = pure_walk()
    donation = walk.draw_started()
    walk.do(DiscardDonation(donation=donation, reason="The bag leaked."))
    gone = [f"Donation {donation} was discarded: The bag leaked."]
    assert gone == walk.why_not(FinishDraw(donation=donation, gross_g=734))
    assert gone == walk.why_not(DiscardDonation(donation=donation, reason="again"))


def test_the_donor_remembers_that_it_gave():
    walk = pure_walk()
    donor = walk.a_donor()
    walk.drawn(donor=donor)
    gave = "Bramble gave on 10 Mar 2025 and may give again from 05 May 2025."
    assert [gave] == walk.why_not(start(walk, donor=donor))


def test_more_than_the_donors_largest_draw_is_told_with_what_to_do():
    walk = pure_walk()
    donor = walk.a_donor("dog", examined=False)
    walk.do(ExamineDonor(donor=donor, weight_g=25_000, pcv_permille=450))  # 20 % of 90 mL/kg are 450 mL
    at_most = walk.draw_started(donor=donor)
    told = "mL is more than this donor's largest draw of 450 mL: watch the donor and tell the veterinarian."
    started, site, lasted = walk.look(Draw, at_most).started, limits(walk.look), timedelta(minutes=8)
    assert () == rules.finished(started, 260 + 474, lasted, site).because  # 450 mL
    assert (f"451 {told}",) == rules.finished(started, 260 + 475, lasted, site).because
