"""The separation: plasma off, additive in, clots looked for, segments sealed; in that order and no other."""

from datetime import timedelta

import pytest

from buffycoat.draws.rules import DiscardDonation, Draw
from buffycoat.separation.rules import (
    AddAdditive,
    ExpressPlasma,
    KeepWhole,
    LookForClots,
    LoseAdditive,
    SealSegments,
    Separation,
)
from buffycoat.site.rules import SetLimit
from buffycoat.spins.rules import POOR
from tests.walk import pure_walk, unknown

PRESS_FIRST = "Press off the plasma first."
RECORDED = "What became of the additive was recorded already."
LOOK = "Look for clots first."


def steps(donation):
    return [
        KeepWhole(donation=donation),
        ExpressPlasma(donation=donation, plasma_g=200),
        AddAdditive(donation=donation, additive_ml=100),
        LoseAdditive(donation=donation, reason="Leaked."),
        LookForClots(donation=donation, clots=False),
        SealSegments(donation=donation, segments=4),
    ]


@pytest.mark.parametrize("step", steps(unknown("G")), ids=lambda each: type(each).__name__)
def test_nothing_is_separated_of_an_unknown_donation(step):
    refusal = f"No donation has the number {unknown('G')}: scan the bag again."
    assert refusal == pure_walk().why_not(step)[0]


@pytest.mark.parametrize("number", range(len(steps(""))))
def test_nothing_is_separated_before_the_draw_is_finished(number):
    walk = pure_walk()
    step = steps(walk.draw_started())[number]
    assert "The draw is not finished: weigh the full bag first." == walk.why_not(step)[0]


@pytest.mark.parametrize("number", range(len(steps(""))))
def test_nothing_is_separated_of_a_bag_that_is_not_for_use(number):
    walk = pure_walk()
    step = steps(walk.drawn(gross_g=260 + 522))[number]
    refusal = (
        "This bag is not for use: 496 mL is over 495 mL: too little anticoagulant, it may clot. Discard."
    )
    assert refusal == walk.why_not(step)[0]


@pytest.mark.parametrize("number", range(len(steps(""))))
def test_nothing_is_separated_of_a_donation_that_was_discarded(number):
    walk = pure_walk()
    donation = walk.drawn()
    walk.do(DiscardDonation(donation=donation, reason="Clotted."))
    assert f"Donation {donation} was discarded: Clotted." == walk.why_not(steps(donation)[number])[0]


@pytest.mark.parametrize("number", range(len(steps(""))))
def test_no_step_is_earlier_than_the_one_before(number):
    walk = pure_walk()
    donation = walk.drawn()
    early = walk.look(Draw, donation).finished_at - timedelta(seconds=1)
    assert walk.why_not(steps(donation)[number], early)[0].startswith(
        "The step before was done on 10 Mar, 09:"
    )


class TestKeptWhole:
    def test_a_full_bag_may_stay_whole(self):
        walk = pure_walk()
        donation = walk.drawn()
        assert [] == walk.why_not(KeepWhole(donation=donation))
        walk.do(KeepWhole(donation=donation))
        assert ("whole-blood",) == walk.look(Separation, donation).parts

    def test_once_is_enough(self):
        walk = pure_walk()
        donation = walk.kept_whole()
        assert ["This donation is kept whole already."] == walk.why_not(KeepWhole(donation=donation))

    def test_a_bag_without_its_plasma_is_whole_no_more(self):
        walk = pure_walk()
        refusal = "The plasma is off already: it cannot be whole blood any more."
        assert [refusal] == walk.why_not(KeepWhole(donation=walk.expressed()))

    def test_a_bag_in_the_centrifuge_waits(self):
        walk = pure_walk()
        donation = walk.drawn()
        walk.in_spin(donation)
        assert ["The bag is in a spin: finish the spin first."] == walk.why_not(KeepWhole(donation=donation))

    def test_an_under_filled_bag_is_no_whole_blood(self):
        walk = pure_walk()
        refusal = "An under-filled bag gives red cells only: too much anticoagulant for whole blood."
        assert [refusal] == walk.why_not(KeepWhole(donation=walk.drawn(gross_g=260 + 425)))
        assert [] == walk.why_not(KeepWhole(donation=walk.drawn(gross_g=260 + 426)))

    def test_its_plasma_stays_in(self):
        walk = pure_walk()
        refusal = "This donation is kept whole: its plasma stays in."
        assert refusal in walk.why_not(ExpressPlasma(donation=walk.kept_whole(), plasma_g=200))


class TestPressing:
    def test_a_well_spun_bag_is_pressed(self):
        walk = pure_walk()
        assert [] == walk.why_not(ExpressPlasma(donation=walk.spun(), plasma_g=231))

    def test_the_plasma_comes_off_once(self):
        walk = pure_walk()
        donation = walk.spun()
        walk.press(donation, 231)
        again = ExpressPlasma(donation=donation, plasma_g=200)
        assert ["The plasma was weighed already: 231 g."] == walk.why_not(again)

    def test_a_bag_is_spun_first(self):
        walk = pure_walk()
        press = ExpressPlasma(donation=walk.drawn(), plasma_g=231)
        assert ["This bag was not spun yet: spin it first."] == walk.why_not(press)

    def test_a_bag_in_the_centrifuge_waits(self):
        walk = pure_walk()
        donation = walk.drawn()
        walk.in_spin(donation)
        press = ExpressPlasma(donation=donation, plasma_g=231)
        assert ["The bag is in a spin: finish the spin first."] == walk.why_not(press)

    def test_a_poorly_separated_bag_is_spun_again(self):
        walk = pure_walk()
        donation = walk.drawn()
        walk.spin(donation, outcome=POOR)
        press = ExpressPlasma(donation=donation, plasma_g=231)
        assert ["The last spin separated this bag poorly: spin it again before you press."] == walk.why_not(
            press
        )
        walk.spin(donation)
        assert [] == walk.why_not(press)

    @pytest.mark.parametrize(
        ("plasma_g", "reasons"),
        [
            (0, ["0 g: weigh the plasma bag with the plasma in it."]),
            (-3, ["-3 g: weigh the plasma bag with the plasma in it."]),
            (1, []),
            (318, []),
            (
                319,
                [
                    "319 g is more plasma than this bag held: 318 g with its anticoagulant, at a PCV of 45 %. "
                    "Was the empty plasma bag taken off the weight?"
                ],
            ),
            (
                538,
                [
                    "538 g is more plasma than this bag held: 318 g with its anticoagulant, at a PCV of 45 %. "
                    "Was the empty plasma bag taken off the weight?"
                ],
            ),
            (539, ["539 g of plasma cannot come out of 538 g of blood with its anticoagulant."]),
        ],
    )
    def test_no_more_plasma_comes_off_than_the_bag_held(self, plasma_g, reasons):
        walk = pure_walk()
        assert reasons == walk.why_not(ExpressPlasma(donation=walk.spun(), plasma_g=plasma_g))

    def test_the_plan_is_written_beside_what_came_off(self):
        walk = pure_walk()
        donation = walk.spun()
        walk.press(donation, 231)
        expressed = walk.look(Separation, donation).expressed
        assert (231, 238) == (expressed.plasma_g, expressed.planned_g)

    def test_more_left_on_the_cells_is_less_to_press(self):
        walk = pure_walk()
        walk.do(SetLimit(key="plasma_left_percent", value=20, reason="Our own rule"))
        assert 212 == walk.look(Separation, walk.expressed()).expressed.planned_g


class TestAdditive:
    @pytest.mark.parametrize(
        ("additive_ml", "taken"), [(79, False), (80, True), (100, True), (110, True), (111, False)]
    )
    def test_what_ran_in_is_about_what_the_set_holds(self, additive_ml, taken):
        walk = pure_walk()
        refusal = (
            f"{additive_ml} mL: this set holds 100 mL of additive. "
            "If it did not all run in, record it as lost: the red cells then keep the shorter date."
        )
        add = AddAdditive(donation=walk.expressed(), additive_ml=additive_ml)
        assert ([] if taken else [refusal]) == walk.why_not(add)

    @pytest.mark.parametrize("number", [2, 3], ids=["added", "lost"])
    def test_the_plasma_is_pressed_off_first(self, number):
        walk = pure_walk()
        assert [PRESS_FIRST] == walk.why_not(steps(walk.spun())[number])

    @pytest.mark.parametrize("number", [2, 3], ids=["added", "lost"])
    def test_a_set_without_additive_has_none_to_add_or_lose(self, number):
        walk = pure_walk()
        assert ["This bag set has no additive."] == walk.why_not(steps(walk.expressed("cat"))[number])

    @pytest.mark.parametrize("number", [2, 3], ids=["added", "lost"])
    @pytest.mark.parametrize("earlier", [2, 3], ids=["after added", "after lost"])
    def test_what_became_of_it_is_told_once(self, number, earlier):
        walk = pure_walk()
        donation = walk.expressed()
        assert [] == walk.why_not(steps(donation)[number])
        walk.do(steps(donation)[earlier])
        assert [RECORDED] == walk.why_not(steps(donation)[number])

    def test_a_loss_has_a_reason(self):
        walk = pure_walk()
        refusal = "Say what happened to the additive: leaked, not run in, or what you saw."
        assert [refusal] == walk.why_not(LoseAdditive(donation=walk.expressed(), reason=" "))


class TestClots:
    def test_they_are_looked_for_when_the_plasma_is_off_and_the_additive_told(self):
        walk = pure_walk()
        donation = walk.spun()
        look = LookForClots(donation=donation, clots=False)
        assert [PRESS_FIRST] == walk.why_not(look)
        walk.press(donation)
        said = "Say first what became of the additive: clots are looked for while it is mixed in."
        assert [said] == walk.why_not(look)
        walk.do(LoseAdditive(donation=donation, reason="Leaked."))
        assert [] == walk.why_not(look)

    def test_whole_blood_is_looked_at_as_it_is(self):
        walk = pure_walk()
        donation = walk.drawn()
        walk.do(KeepWhole(donation=donation))
        assert [] == walk.why_not(LookForClots(donation=donation, clots=False))

    def test_they_are_looked_for_once(self):
        walk = pure_walk()
        look = LookForClots(donation=walk.separated(), clots=True)
        assert ["Clots were looked for already, and none was seen."] == walk.why_not(look)

    def test_a_clot_discards_the_donation(self):
        walk = pure_walk()
        donation = walk.expressed("cat")
        walk.do(LookForClots(donation=donation, clots=True))
        state = walk.look(Separation, donation)
        assert ("Clots were seen in the red cells.", ()) == (state.draw.discarded, state.parts)

    def test_no_clot_leaves_it_alone(self):
        walk = pure_walk()
        state = walk.look(Separation, walk.separated())
        assert (None, ("plasma", "red-cells")) == (state.draw.discarded, state.parts)


class TestSegments:
    @pytest.mark.parametrize(("segments", "taken"), [(2, False), (3, True), (30, True), (31, False)])
    def test_enough_are_kept_for_crossmatching(self, segments, taken):
        walk = pure_walk()
        donation = walk.expressed("cat")
        walk.do(LookForClots(donation=donation, clots=False))
        refusal = f"{segments} segments: this site keeps 3 to 30 on each unit, for crossmatching. Seal again."
        assert ([] if taken else [refusal]) == walk.why_not(
            SealSegments(donation=donation, segments=segments)
        )

    def test_clots_are_looked_for_first(self):
        walk = pure_walk()
        assert [LOOK] == walk.why_not(SealSegments(donation=walk.expressed("cat"), segments=4))

    def test_they_are_sealed_once(self):
        walk = pure_walk()
        again = SealSegments(donation=walk.separated(), segments=5)
        assert ["4 segments were sealed already."] == walk.why_not(again)


@pytest.mark.parametrize(
    ("but", "parts"),
    [
        ({}, ("plasma", "red-cells")),
        ({"gross_g": 260 + 425}, ("red-cells",)),
        ({"minutes": 16}, ("red-cells",)),
    ],
    ids=["as wanted", "under-filled", "slow"],
)
def test_an_under_filled_or_slow_draw_gives_no_plasma(but, parts):
    walk = pure_walk()
    assert parts == walk.look(Separation, walk.expressed(**but)).parts
