"""The last weighings: each product is weighed once, and every weight fits those before it."""

from datetime import timedelta

import pytest

from buffycoat.draws.rules import Draw
from buffycoat.separation.contents import predict
from buffycoat.separation.weighings import Weighings, WeighProduct
from buffycoat.site.rules import SetLimit, limits
from tests.walk import pure_walk, unknown

# Red cells of the dog: 474 g of blood, 64 of anticoagulant, 102 of additive, less 238 of plasma, in a bag of 32 g.
RED_G, PLASMA_G = 402 + 32, 238 + 28


def weigh(donation, part="red-cells", gross_g=RED_G, explained=""):
    return WeighProduct(donation=donation, part=part, gross_g=gross_g, explained=explained)


def weighed(walk, donation, part):
    return walk.look(Weighings, donation).weighed[part]


def test_what_was_made_is_weighed():
    walk = pure_walk()
    donation = walk.separated()
    assert [] == walk.why_not(weigh(donation))
    assert [] == walk.why_not(weigh(donation, "plasma", PLASMA_G))


def test_nothing_of_an_unknown_donation_is_weighed():
    refusal = f"No donation has the number {unknown('G')}: scan the bag again."
    assert refusal == pure_walk().why_not(weigh(unknown("G")))[0]


def test_what_was_not_made_is_not_weighed():
    walk = pure_walk()
    assert ["This donation gives nothing yet: there is no red cells to weigh."] == walk.why_not(
        weigh(walk.spun())
    )
    low = walk.separated(gross_g=260 + 425)
    assert ["This donation gives red cells: there is no plasma to weigh."] == walk.why_not(
        weigh(low, "plasma")
    )
    both = "This donation gives plasma and red cells: there is no whole blood to weigh."
    assert [both] == walk.why_not(weigh(walk.separated(), "whole-blood"))


def test_a_product_is_weighed_once():
    walk = pure_walk()
    assert [f"It was weighed already: {RED_G} g."] == walk.why_not(weigh(walk.weighed()))


def test_a_weighing_is_no_earlier_than_the_seals():
    walk = pure_walk()
    donation = walk.separated()
    sealed = walk.look(Draw, donation).last_at
    assert [] == walk.why_not(weigh(donation), sealed)
    assert 1 == len(walk.why_not(weigh(donation), sealed - timedelta(seconds=1)))


def test_segments_are_sealed_before_red_cells_or_whole_blood_are_weighed_and_plasma_need_not_wait():
    walk = pure_walk()
    donation = walk.expressed("cat")
    seal_first = "Seal the segments first: they are weighed off the unit."
    assert [seal_first] == walk.why_not(weigh(donation, gross_g=44))
    assert [] == walk.why_not(weigh(donation, "plasma", 40))


@pytest.mark.parametrize(("part", "empty_g"), [("red-cells", 32), ("plasma", 28)])
def test_an_empty_bag_is_no_product(part, empty_g):
    walk = pure_walk()
    donation = walk.separated()
    refusal = f"{empty_g} g is no more than the empty bag ({empty_g} g)."
    assert [refusal] == walk.why_not(weigh(donation, part, empty_g))
    assert [refusal] != walk.why_not(weigh(donation, part, empty_g + 1))


@pytest.mark.parametrize(
    ("part", "expected_g", "empty_g"), [("red-cells", RED_G, 32), ("plasma", PLASMA_G, 28)]
)
@pytest.mark.parametrize("off_g", [-11, -10, 0, 10, 11])
def test_a_weight_that_does_not_fit_the_rest_is_weighed_again_or_explained(part, expected_g, empty_g, off_g):
    walk = pure_walk()
    donation = walk.separated()
    refusal = (
        f"The weight does not fit the rest: 11 g too {'much' if off_g > 0 else 'little'}. "
        f"Expected {expected_g} g with the bag ({expected_g - empty_g} g in it). "
        "Weigh again without tubing or hand on the pan; if it is right, say why."
    )
    reasons = [refusal] if abs(off_g) == 11 else []
    assert reasons == walk.why_not(weigh(donation, part, expected_g + off_g))[:1]
    assert [] == walk.why_not(weigh(donation, part, expected_g + off_g, explained="Spilled at the port."))
    assert reasons == walk.why_not(weigh(donation, part, expected_g + off_g, explained="  "))[:1]


CANNOT_TELL = "The weights alone cannot tell which is wrong: "


def test_weights_that_disagree_are_named_and_a_confirmed_one_is_not():
    walk = pure_walk()
    donation = walk.separated()
    pressed_or_bag = f"{CANNOT_TELL}the plasma when it was pressed off, the plasma bag."
    assert pressed_or_bag == walk.why_not(weigh(donation, "plasma", PLASMA_G - 30))[1]
    all_four = f"{CANNOT_TELL}the plasma when it was pressed off, the drawn bag, this bag, the additive."
    assert all_four == walk.why_not(weigh(donation, "red-cells", RED_G + 30))[1]
    walk.do(weigh(donation, "plasma", PLASMA_G))
    without_plasma = f"{CANNOT_TELL}the drawn bag, this bag, the additive."
    assert without_plasma == walk.why_not(weigh(donation, "red-cells", RED_G + 30))[1]


def test_the_site_decides_how_far_weights_may_disagree():
    walk = pure_walk()
    donation = walk.separated()
    walk.do(SetLimit(key="weighing_tolerance_g", value=2, reason="A better scale"))
    assert [] == walk.why_not(weigh(donation, gross_g=RED_G + 2))
    assert "3 g too much" in walk.why_not(weigh(donation, gross_g=RED_G + 3))[0]


def test_red_cells_are_told_with_and_without_the_additive():
    walk = pure_walk()
    cells = weighed(walk, walk.weighed(), "red-cells")
    assert (379, 279) == (cells.volume_ml, cells.red_cell_part_ml)
    assert 532 == cells.haematocrit_permille


def test_plasma_has_no_red_cells():
    walk = pure_walk()
    plasma = weighed(walk, walk.weighed(), "plasma")
    assert (232, 0, 0) == (plasma.volume_ml, plasma.red_cell_part_ml, plasma.haematocrit_permille)


def test_whole_blood_is_weighed_with_its_anticoagulant():
    walk = pure_walk()
    donation = walk.kept_whole("cat")
    assert ["Seal the segments first: they are weighed off the unit."] != walk.why_not(
        weigh(donation, "whole-blood", 74)
    )
    walk.weigh(donation)
    whole = weighed(walk, donation, "whole-blood")
    assert (60, 57) == (whole.content_g, whole.volume_ml)  # 53 g of blood and 7 mL of anticoagulant
    assert 333 == whole.haematocrit_permille  # 19 mL of red cells in 57 mL


def test_an_explanation_stays_beside_the_weight():
    walk = pure_walk()
    donation = walk.separated()
    walk.do(weigh(donation, gross_g=RED_G - 30, explained=" Spilled at the port. "))
    cells = weighed(walk, donation, "red-cells")
    assert (402, 372, "Spilled at the port.") == (cells.expected_g, cells.content_g, cells.explained)


def test_450_ml_at_45_percent_with_63_ml_hold_310_ml_of_plasma_at_most():
    """Mass balance: 450 × 0.55 + 63 = 310.5 mL (handbook 13, row 23), here in g at 1.027 and 1.020 g/mL."""
    walk = pure_walk()
    prediction = predict(walk.look(Draw, walk.drawn()), limits(walk.look))
    assert int(247.5 * 1.027 + 63 * 1.020) == prediction.plasma_ceiling_g


def test_63_ml_to_450_ml_is_one_to_seven():
    """450:63 ≈ 1:7, 14 mL for 100 mL: a state council's table and Cober 2001 (handbook 13, row 6)."""
    walk = pure_walk()
    draw = walk.look(Draw, walk.drawn())
    bag_set = draw.started.bag_set
    assert 63 == bag_set.nominal_ml * 14 / 100
    assert 7 == pytest.approx(draw.finished.volume_ml / bag_set.anticoagulant_ml, abs=0.15)
