"""The rules of the draw beside figures that others have printed; the source stands beside each."""

import pytest

from buffycoat.draws.rules import (
    AS_WANTED,
    LOW,
    TOO_LOW,
    Draw,
    filling,
    largest_draw,
    target_g,
    usual_range_ml,
)
from buffycoat.science.composition import volume_ml_from_mass
from buffycoat.site.rules import SetLimit, limits
from tests.walk import pure_walk


def site(**set_here):
    walk = pure_walk()
    for key, value in set_here.items():
        walk.do(SetLimit(key=key, value=value, reason="To compare with a published figure"))
    return limits(walk.look)


def test_450_ml_at_106_in_a_bag_of_60_g_is_a_target_of_537_g():
    """A training film on collection: 450 × 1.06 + 60 (handbook 13, row 2)."""
    assert 537 == target_g("dog", 450, 60, site(dog_blood_density_mg_per_ml=1_060))


def test_a_bag_of_450_ml_holds_405_to_495():
    """450 mL ± 45: a page of clinical formulas (handbook 13, row 3; check 6.1)."""
    assert (405, 495) == usual_range_ml(450, site())


def test_450_ml_at_the_human_density_weigh_474_g():
    """≈ 474 g, exactly 473.85: the same page (handbook 13, row 4; check 6.1)."""
    assert 474 == target_g("dog", 450, 0, site())
    assert 474 == target_g("cat", 450, 0, site())


@pytest.mark.parametrize(
    ("density_mg_per_ml", "volume_ml"), [(1_053, 450.142), (1_048, 452.290), (1_050, 451.429)], ids=str
)
def test_564_g_in_a_bag_of_90_g_is_450_ml(density_mg_per_ml, volume_ml):
    """(564 − 90) / 1.053 = 450.142 mL; the other two with a teaching table's dog and cat (check 6.2)."""
    assert volume_ml == pytest.approx(volume_ml_from_mass(564 - 90, density_mg_per_ml / 1_000), abs=5e-4)
    walk = pure_walk()
    walk.do(SetLimit(key="dog_blood_density_mg_per_ml", value=density_mg_per_ml, reason="To compare"))
    donation = walk.drawn(tare_g=90, gross_g=564)
    assert round(volume_ml) == walk.look(Draw, donation).finished.volume_ml


@pytest.mark.parametrize(
    ("nominal_ml", "lowest_ml", "highest_ml"), [(450, 300, 404), (500, 333, 449)], ids=["450", "500"]
)
def test_a_low_bag_still_gives_red_cells_down_to_the_published_volume(nominal_ml, lowest_ml, highest_ml):
    """300 to 404 mL of a 450 mL bag, 333 to 449 mL of a 500 mL bag: a US practice glossary (handbook 13, row 5)."""
    assert {LOW} == {filling(volume_ml, nominal_ml, site()) for volume_ml in range(lowest_ml, highest_ml + 1)}
    assert TOO_LOW == filling(lowest_ml - 1, nominal_ml, site())
    assert AS_WANTED == filling(highest_ml + 1, nominal_ml, site())


@pytest.mark.parametrize(("percent", "volume_ml"), [(15, 432), (20, 576)])
def test_a_dog_of_32_kg_holds_2880_ml_and_gives_432_or_576(percent, volume_ml):
    """90 mL/kg; 15 % without fluids, 20 % with them: a revision article of 2021 (handbook 13, row 8; check 7.1)."""
    most = largest_draw("dog", 32_000, site(dog_largest_draw_percent=percent))
    assert (2_880, volume_ml) == (most.blood_volume_ml, most.volume_ml)
    assert percent == pytest.approx(most.percent(volume_ml))


def test_a_dog_of_25_kg_stands_at_the_edge_of_the_twenty_percent():
    """450 mL is 18 mL/kg and 20 % of 90 mL/kg at 25 kg (handbook 2, computed)."""
    most = largest_draw("dog", 25_000, site())
    assert (450, 18, 20) == (most.volume_ml, most.ml_per_kg(25_000, 450), most.percent(450))


def test_the_stricter_of_the_two_limits_of_a_draw_holds():
    """Cat of 4 kg: 20 % of 60 mL/kg is 48 mL, and so is 12 mL/kg (UK animal blood bank guide; ISFM, from memory)."""
    assert 48 == largest_draw("cat", 4_000, site()).volume_ml
    assert 44 == largest_draw("cat", 4_000, site(cat_largest_draw_ml_per_kg=11)).volume_ml
    assert 36 == largest_draw("cat", 4_000, site(cat_largest_draw_percent=15)).volume_ml
