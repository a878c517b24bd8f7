"""The spin: which bags go together, in which bucket, and how each came out."""

from dataclasses import replace
from datetime import timedelta

import pytest

from buffycoat.draws.rules import DiscardDonation, Draw
from buffycoat.science.numbering import show_code
from buffycoat.separation.rules import KeepWhole
from buffycoat.spins.rotors import Rotor
from buffycoat.spins.rules import (
    LEAKED,
    POOR,
    WELL,
    BagOutcome,
    FinishSpin,
    Spin,
    SpinBag,
    SpinFiller,
    SpinStarted,
    SpunBag,
    StartSpin,
    why_not_spun,
)
from tests.walk import pure_walk, unknown

NO_ROTOR, NO_SPIN, NO_DONATION = unknown("T"), unknown("R"), unknown("G")


def start(walk, *donations, mass_g=734, rotor="", programme="Hard dog"):
    bags = tuple(SpinBag(donation=each, mass_g=mass_g) for each in donations)
    return StartSpin(rotor=rotor or walk.a_rotor(), programme=programme, bags=bags)


def outcomes(walk, spin, outcome=WELL):
    donations = walk.look(Spin, spin).donations
    return FinishSpin(
        spin=spin, outcomes=tuple(BagOutcome(donation=each, outcome=outcome) for each in donations)
    )


def test_a_finished_draw_may_be_spun():
    walk = pure_walk()
    assert [] == walk.why_not(start(walk, walk.drawn()))


@pytest.mark.parametrize("filler_g", [732, 734, 736])
def test_filler_that_makes_opposite_places_equal_enough_is_kept_as_weighed(filler_g):
    walk = pure_walk()
    weighed = SpinFiller(place=3, mass_g=filler_g, scale="Window bench: invented")
    command = replace(start(walk, walk.drawn()), fillers=(weighed,))
    started = walk.do(command).the(SpinStarted)
    assert (filler_g, "Window bench: invented") == (
        started.places[2].filler_g,
        started.places[2].filler_scale,
    )


@pytest.mark.parametrize(("filler_g", "apart_g"), [(731, 3), (737, 3), (0, 734)])
def test_a_spin_is_locked_until_opposite_places_are_within_the_limit(filler_g, apart_g):
    walk = pure_walk()
    command = replace(start(walk, walk.drawn()), fillers=(SpinFiller(place=3, mass_g=filler_g),))
    refusal = f"Places 1 and 3 are {apart_g} g apart, and this rotor allows 2 g: weigh their filler again."
    assert [refusal] == walk.why_not(command)


def test_filler_is_laid_at_a_place_of_the_rotor_once():
    walk = pure_walk()
    twice = (SpinFiller(place=3, mass_g=734), SpinFiller(place=3, mass_g=734))
    refusal = "Give the filler of each place once: this rotor has the places 1 to 4."
    assert [refusal] == walk.why_not(replace(start(walk, walk.drawn()), fillers=twice))
    beyond = (SpinFiller(place=3, mass_g=734), SpinFiller(place=5, mass_g=1))
    assert [refusal] == walk.why_not(replace(start(walk, walk.drawn()), fillers=beyond))
    less = (SpinFiller(place=3, mass_g=734), SpinFiller(place=4, mass_g=-1))
    assert ["Filler cannot weigh less than nothing: weigh it again."] == walk.why_not(
        replace(start(walk, walk.drawn()), fillers=less)
    )


def test_an_unknown_rotor_is_said_to_be_unknown():
    walk = pure_walk()
    refusal = f"No rotor has the number {NO_ROTOR}: scan its card again."
    assert [refusal] == walk.why_not(start(walk, walk.drawn(), rotor=NO_ROTOR))


@pytest.mark.parametrize(("name", "shown"), [("Soft dog", "Soft dog"), ("", "…")])
def test_a_programme_is_one_of_this_centrifuge(name, shown):
    walk = pure_walk()
    refusal = f"This centrifuge has no programme called {shown}: choose one of its own."
    assert [refusal] == walk.why_not(start(walk, walk.drawn(), programme=name))


def test_a_spin_has_a_bag():
    walk = pure_walk()
    assert ["Scan at least one bag."] == walk.why_not(start(walk))


def test_a_bag_is_in_a_spin_once():
    walk = pure_walk()
    donation = walk.drawn()
    refusal = f"{show_code(donation)} is in this spin twice: take it out once."
    assert refusal in walk.why_not(start(walk, donation, donation))
    assert [] == walk.why_not(start(walk, donation, walk.drawn()))


def test_an_unknown_bag_is_said_to_be_unknown():
    walk = pure_walk()
    refusal = f"No donation has the number {NO_DONATION}: scan the bag again."
    assert [refusal] == walk.why_not(start(walk, NO_DONATION))


def test_a_bag_is_not_spun_before_its_draw_is_finished():
    walk = pure_walk()
    donation = walk.draw_started()
    refusal = f"The draw of {show_code(donation)} is not finished: weigh the full bag first."
    assert [refusal] == walk.why_not(start(walk, donation))


def test_a_bag_that_is_not_for_use_is_not_spun():
    walk = pure_walk()
    donation = walk.drawn(gross_g=260 + 315)
    refusal = (
        f"{show_code(donation)} is not for use: Only 299 mL: too much anticoagulant for the blood. Discard."
    )
    assert [refusal] == walk.why_not(start(walk, donation))
    assert [] == walk.why_not(start(walk, walk.drawn(gross_g=260 + 316)))


def test_a_bag_in_the_centrifuge_is_in_no_other_spin():
    walk = pure_walk()
    donation = walk.drawn()
    spin = walk.in_spin(donation)
    assert [f"{show_code(donation)} is in spin {show_code(spin)} already."] == walk.why_not(
        start(walk, donation)
    )


def test_a_well_separated_bag_is_not_spun_again_and_a_poor_one_is():
    walk = pure_walk()
    well, poor = walk.spun(), walk.drawn()
    walk.spin(poor, outcome=POOR)
    assert [f"{show_code(well)} was spun and is well separated: express its plasma."] == walk.why_not(
        start(walk, well)
    )
    assert [] == walk.why_not(start(walk, poor))


@pytest.mark.parametrize(("mass_g", "taken"), [(19, False), (20, True), (2_000, True), (2_001, False)])
def test_a_mass_that_no_bag_has_is_weighed_again(mass_g, taken):
    walk = pure_walk()
    refusal = f"{mass_g} g is no mass of a bag (20 to 2000 g): weigh it again."
    assert ([] if taken else [refusal]) == walk.why_not(start(walk, walk.drawn(), mass_g=mass_g))


def test_a_spin_does_not_begin_before_its_bags_were_drawn():
    walk = pure_walk()
    donation = walk.drawn()
    ended = walk.look(Draw, donation).finished_at
    command = start(walk, donation)
    assert [] == walk.why_not(command, ended)
    assert [
        f"The step before was done on {ended:%d %b, %H:%M}: this one cannot be earlier "
        f"({ended - timedelta(minutes=1):%d %b, %H:%M})."
    ] == walk.why_not(command, ended - timedelta(minutes=1))


def test_two_species_are_never_in_one_spin():
    walk = pure_walk()
    mixed = start(walk, walk.drawn("dog"), walk.drawn("cat"))
    assert ["Never two species in one spin: here are cat and dog."] == walk.why_not(mixed)


def test_a_programme_for_dogs_spins_no_cat():
    walk = pure_walk()
    donation = walk.drawn("cat")
    assert ["Hard dog is a programme for dog blood; these bags are from a cat."] == walk.why_not(
        start(walk, donation, mass_g=93)
    )
    assert [] == walk.why_not(start(walk, donation, mass_g=93, programme="Hard cat"))


def test_more_bags_than_buckets_are_refused_in_words():
    walk = pure_walk()
    donations = [walk.drawn() for _ in range(5)]
    assert ["Five bags in a rotor of four places."] == walk.why_not(start(walk, *donations))
    assert [] == walk.why_not(start(walk, *donations[:4]))


def test_opposite_buckets_are_equal_within_the_limit_of_the_rotor():
    walk = pure_walk()
    first, second, third = (walk.drawn(gross_g=gross_g) for gross_g in (734, 720, 700))
    places = walk.look(Spin, walk.in_spin(first, second, third)).started.places
    masses_g = [place.mass_g + place.filler_g for place in places]
    assert {first: 734, second: 720, third: 700, "": 0} == {place.donation: place.mass_g for place in places}
    assert [1, 2, 3, 4] == [place.place for place in places]
    assert max(abs(masses_g[0] - masses_g[2]), abs(masses_g[1] - masses_g[3])) <= 2


def test_a_spin_writes_down_its_programme_as_it_was_and_where_each_bag_lay():
    walk = pure_walk()
    donation = walk.drawn()
    spin = walk.look(Spin, walk.in_spin(donation))
    rotor = walk.look(Rotor, walk.a_rotor())
    assert (rotor.programmes["Hard dog"], rotor.rcf(rotor.programmes["Hard dog"])) == (
        spin.started.programme,
        spin.started.rcf,
    )
    assert (spin.number, (donation,)) == (walk.look(SpunBag, donation).in_spin, spin.donations)


def test_an_unknown_spin_is_said_to_be_unknown():
    assert [f"No spin has the number {NO_SPIN}: scan its sheet again."] == pure_walk().why_not(
        FinishSpin(spin=NO_SPIN, outcomes=())
    )


def test_a_spin_is_finished_once():
    walk = pure_walk()
    spin = walk.spin(walk.drawn())
    assert ["This spin was finished already."] == walk.why_not(outcomes(walk, spin))


def test_a_spin_does_not_end_before_it_began():
    walk = pure_walk()
    spin = walk.in_spin(walk.drawn())
    began = walk.look(Spin, spin).started_at
    early = ["A spin cannot end before it began: give the time when it stopped."]
    assert early == walk.why_not(outcomes(walk, spin, POOR), began - timedelta(seconds=1))
    assert [] == walk.why_not(outcomes(walk, spin, POOR), began)


def test_each_bag_of_a_spin_is_told_of_once():
    walk = pure_walk()
    first, second = walk.drawn(), walk.drawn()
    spin = walk.in_spin(first, second)
    walk.wait(minutes=20)
    one, other = (BagOutcome(donation=each, outcome=WELL) for each in (first, second))
    wanted = ["Say of each bag of this spin, once, how it came out."]
    assert wanted == walk.why_not(FinishSpin(spin=spin, outcomes=(one,)))
    assert wanted == walk.why_not(FinishSpin(spin=spin, outcomes=(one, one)))
    assert wanted == walk.why_not(FinishSpin(spin=spin, outcomes=(one, other, other)))
    assert [] == walk.why_not(FinishSpin(spin=spin, outcomes=(other, one)))


def test_an_outcome_is_one_of_three():
    walk = pure_walk()
    spin = walk.in_spin(walk.drawn())
    walk.wait(minutes=20)
    choose = "Choose for each bag: well separated, poorly separated, leaked."
    assert [choose] == walk.why_not(outcomes(walk, spin, "fine"))
    assert [[]] * 3 == [walk.why_not(outcomes(walk, spin, each)) for each in (WELL, POOR, LEAKED)]


def test_a_spin_cut_short_separates_nothing_well():
    walk = pure_walk()
    spin = walk.in_spin(walk.drawn())
    whole = walk.look(Spin, spin).started_at + timedelta(minutes=10)
    short = (
        "The programme runs 10 min and only 9 have passed: "
        "a bag from a spin that was cut short is not well separated."
    )
    assert [] == walk.why_not(outcomes(walk, spin), whole)
    assert [short] == walk.why_not(outcomes(walk, spin), whole - timedelta(seconds=1))
    assert [] == walk.why_not(outcomes(walk, spin, POOR), whole - timedelta(seconds=1))
    began = walk.look(Spin, spin).started_at
    assert [short.replace("only 9", "only 0")] == walk.why_not(outcomes(walk, spin), began)


def test_a_bag_remembers_how_it_came_out_of_its_last_spin():
    walk = pure_walk()
    donation = walk.drawn()
    walk.spin(donation, outcome=POOR)
    poor = walk.look(SpunBag, donation)
    assert (None, POOR) == (poor.in_spin, poor.outcome)
    walk.spin(donation)
    well = walk.look(SpunBag, donation)
    assert (None, WELL) == (well.in_spin, well.outcome)


def test_a_bag_that_leaked_is_discarded_by_its_spin_and_the_others_are_not():
    walk = pure_walk()
    whole, leaking = walk.drawn(), walk.drawn()
    spin = walk.in_spin(whole, leaking)
    walk.wait(minutes=11)
    told = (BagOutcome(donation=whole, outcome=WELL), BagOutcome(donation=leaking, outcome=LEAKED))
    walk.do(FinishSpin(spin=spin, outcomes=told))
    assert (None, "The bag leaked in the spin.") == tuple(
        walk.look(Draw, each).discarded for each in (whole, leaking)
    )


def test_a_discarded_bag_is_not_spun():
    walk = pure_walk()
    donation = walk.drawn()
    walk.do(DiscardDonation(donation=donation, reason="Clotted."))
    assert [f"Donation {donation} was discarded: Clotted."] == walk.why_not(start(walk, donation))


def test_a_donation_that_is_kept_whole_is_not_spun():
    walk = pure_walk()
    donation = walk.drawn()
    walk.do(KeepWhole(donation=donation))
    bag = SpinBag(donation=donation, mass_g=700)
    assert [f"{show_code(donation)} is kept whole: it is not spun."] == list(
        why_not_spun(walk.look, bag, walk.at)
    )
