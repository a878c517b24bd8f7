"""Volumes, masses and haematocrit against published figures; nothing is lost between bags."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buffycoat.science.composition import (
    DENSITIES,
    Content,
    Densities,
    add_additive,
    blood_volume_ml,
    citrate_mmol,
    density_g_per_ml,
    draw,
    express_plasma,
    haematocrit_of,
    haemoglobin_g,
    largest_draw_ml,
    mass_g,
    mass_g_from_volume,
    plasma_ceiling_ml,
    plasma_phase,
    plasma_to_express_ml_for_haematocrit,
    plasma_to_express_ml_for_share_left,
    pool,
    predicted_layers,
    split,
    take_ml,
    target_gross_g,
    volume_ml,
    volume_ml_from_mass,
)
from buffycoat.science.densities import density_at_c
from buffycoat.science.errors import OutOfRange

volumes = st.floats(0, 2_000)
contents = st.builds(
    Content, red_cells_ml=volumes, plasma_ml=volumes, anticoagulant_ml=volumes, additive_ml=volumes
).filter(lambda content: volume_ml(content) > 1)
STANDARD = draw(blood_ml=450, haematocrit=0.45, anticoagulant_ml=63)


def close(one: Content, other: Content) -> bool:
    return one.parts_ml == pytest.approx(other.parts_ml, rel=1e-9, abs=1e-9)


def test_6_1_450_ml_of_whole_blood_weigh_about_474_g() -> None:
    # A page of clinical formulas: (gross − tare) / 1.053; limits 405 to 495 mL.
    assert mass_g_from_volume(450, 1.053) == pytest.approx(473.85)
    assert mass_g_from_volume(405, 1.053) == pytest.approx(426.465)
    assert mass_g_from_volume(495, 1.053) == pytest.approx(521.235)


def test_6_1_the_inspection_band_of_425_to_525_g_is_404_to_499_ml() -> None:
    # An inspection text of the United States regulator, as quoted in a mail archive.
    assert volume_ml_from_mass(425, 1.053) == pytest.approx(403.6, abs=0.05)
    assert volume_ml_from_mass(525, 1.053) == pytest.approx(498.6, abs=0.05)


@pytest.mark.parametrize(("density", "volume"), [(1.053, 450.142), (1.048, 452.290), (1.050, 451.429)])
def test_6_2_and_6_3_564_g_gross_with_90_g_tare_by_the_densities_of_three_species(
    density: float, volume: float
) -> None:
    # Own computation with the densities of 6.1 (human) and 6.3 (dog, cat; a veterinary physiology table).
    assert volume_ml_from_mass(564 - 90, density) == pytest.approx(volume, abs=5e-4)


def test_13a_2_the_target_on_the_scale_is_537_g() -> None:
    # A training film on collection: 450 mL × 1.06 + 60 g.
    assert target_gross_g(450, 1.06, 60) == pytest.approx(537)


def test_6_4_whole_blood_of_1_055_has_a_haematocrit_of_0_4058() -> None:
    # Balga et al.: plasma 1.027, red cells 1.096, whole blood 1.055.
    blood = draw(blood_ml=1, haematocrit=0.4058, anticoagulant_ml=0)
    assert density_g_per_ml(blood) == pytest.approx(1.055, abs=5e-5)


@pytest.mark.parametrize(
    ("haematocrit", "density"),
    [(0, 1.0270), (0.2, 1.0408), (0.4, 1.0546), (0.45, 1.05805), (0.6, 1.0684), (0.8, 1.0822), (1, 1.0960)],
)
def test_6_5_density_follows_the_mixing_law(haematocrit: float, density: float) -> None:
    # Own table of 6.4.
    blood = draw(blood_ml=100, haematocrit=haematocrit, anticoagulant_ml=0)
    assert density_g_per_ml(blood) == pytest.approx(density, abs=1e-9)


def test_6_6_a_cold_bag_of_500_g_holds_one_hundredth_less() -> None:
    # Trudnowski and Rico 1974: 1.0621 at 4 °C, 1.0506 at 37 °C.
    assert volume_ml_from_mass(500, 1.0621) == pytest.approx(470.77, abs=5e-3)
    assert volume_ml_from_mass(500, 1.0506) == pytest.approx(475.92, abs=5e-3)


def test_6_8_anticoagulant_dilutes_the_haematocrit() -> None:
    # Labels of the usual bag sets: 63 mL to 450 mL.
    assert volume_ml(STANDARD) == pytest.approx(513)
    assert haematocrit_of(STANDARD) == pytest.approx(0.394737, abs=5e-7)
    assert 450 / STANDARD.anticoagulant_ml == pytest.approx(7.142857, abs=5e-7)


@pytest.mark.parametrize(("target", "plasma_ml"), [(0.70, 223.714), (0.75, 243.000), (0.80, 259.875)])
def test_6_10_plasma_to_express_for_a_haematocrit(target: float, plasma_ml: float) -> None:
    # Own mass balance on 6.8.
    assert plasma_to_express_ml_for_haematocrit(STANDARD, target) == pytest.approx(plasma_ml, abs=5e-4)


def test_13b_23_the_ceiling_of_a_standard_draw_is_310_ml() -> None:
    # Mass balance, 450 mL at 45 % and 63 mL.
    assert plasma_ceiling_ml(blood_ml=450, haematocrit=0.45, anticoagulant_ml=63) == pytest.approx(310.5)


@pytest.mark.parametrize(("share", "draw_ml"), [(0.15, 432), (0.20, 576)])
def test_7_1_the_largest_draw_of_a_dog_of_32_kg(share: float, draw_ml: float) -> None:
    # A revision article of 2021: 2880 mL; 432 mL without and 576 mL with fluids.
    assert blood_volume_ml(32, 90) == pytest.approx(2880)
    assert largest_draw_ml(32, 90, share) == pytest.approx(draw_ml)


def test_red_cells_in_additive_come_out_near_the_published_dog_unit() -> None:
    # Dog units with additive: haematocrit 0.609 ± 0.026, 300 ± 30 mL (SciELO 2019).
    plasma_ml = plasma_to_express_ml_for_share_left(STANDARD, 0.10)
    plasma_g = mass_g(plasma_phase(STANDARD)) * plasma_ml / STANDARD.plasma_phase_ml
    unit = add_additive(express_plasma(STANDARD, plasma_g)[0], 100)
    assert haematocrit_of(unit) == pytest.approx(0.6087, abs=0.026)
    assert volume_ml(unit) == pytest.approx(300, abs=35)


@given(contents, st.floats(0, 1))
def test_6_12_expressing_loses_nothing(content: Content, share: float) -> None:
    plasma_g = mass_g(plasma_phase(content)) * share
    left, plasma = express_plasma(content, plasma_g)
    assert mass_g(plasma) == pytest.approx(plasma_g, abs=1e-6)
    assert close(content, pool(left, plasma))
    assert left.red_cells_ml == content.red_cells_ml
    assert plasma.red_cells_ml == 0


@given(contents, st.floats(0, 1_000))
def test_6_12_additive_keeps_the_red_cells_and_lowers_the_haematocrit(
    content: Content, additive_ml: float
) -> None:
    after = add_additive(content, additive_ml)
    assert volume_ml(after) * haematocrit_of(after) == pytest.approx(content.red_cells_ml)
    assert haematocrit_of(after) <= haematocrit_of(content) + 1e-12


@given(contents, st.lists(st.floats(0.05, 1), min_size=1, max_size=5))
def test_split_and_pool_are_inverse_and_keep_the_haematocrit(content: Content, weights: list[float]) -> None:
    shares = [weight / math.fsum(weights) for weight in weights]
    parts = split(content, shares)
    assert close(content, pool(*parts))
    for part in parts:
        assert haematocrit_of(part) == pytest.approx(haematocrit_of(content))


@given(contents, st.floats(0, 1))
def test_a_sample_is_like_its_bag(content: Content, share: float) -> None:
    left, sample = take_ml(content, volume_ml(content) * share)
    assert close(content, pool(left, sample))
    assert volume_ml(sample) == pytest.approx(volume_ml(content) * share)


@given(st.floats(1, 18_000), st.floats(0.9, 1.2))
def test_mass_to_volume_and_back(mass: float, density: float) -> None:
    assert mass_g_from_volume(volume_ml_from_mass(mass, density), density) == pytest.approx(mass)


@given(st.floats(50, 600), st.floats(0.2, 0.7), st.floats(0, 80), st.floats(0, 1))
def test_expressing_the_computed_plasma_reaches_the_wanted_haematocrit(
    blood_ml: float, haematocrit: float, anticoagulant_ml: float, way: float
) -> None:
    bag = draw(blood_ml=blood_ml, haematocrit=haematocrit, anticoagulant_ml=anticoagulant_ml)
    target = haematocrit_of(bag) + way * (0.98 - haematocrit_of(bag))
    share = plasma_to_express_ml_for_haematocrit(bag, target) / bag.plasma_phase_ml
    left, _ = express_plasma(bag, mass_g(plasma_phase(bag)) * share)
    assert haematocrit_of(left) == pytest.approx(target)


@given(contents, st.floats(0.05, 1), st.floats(0, 0.05))
def test_layers_add_up_to_the_bag(content: Content, packed: float, buffy: float) -> None:
    layers = predicted_layers(content, packed, buffy)
    assert ("plasma", "buffy coat", "red cells") == tuple(layer.name for layer in layers)
    assert math.fsum(layer.volume_ml for layer in layers) == pytest.approx(volume_ml(content))
    assert math.fsum(layer.mass_g for layer in layers) == pytest.approx(mass_g(content))
    assert all(layer.volume_ml >= 0 for layer in layers)


def test_the_red_cell_layer_has_the_packed_haematocrit() -> None:
    plasma, buffy, cells = predicted_layers(STANDARD, 0.80, 0)
    assert (202.5 / 0.80, 0, 513 - 202.5 / 0.80) == pytest.approx(
        (cells.volume_ml, buffy.volume_ml, plasma.volume_ml)
    )


def test_the_share_left_on_the_cells_is_a_share_of_the_plasma_phase() -> None:
    assert plasma_to_express_ml_for_share_left(STANDARD, 0.10) == pytest.approx(0.9 * 310.5)


def test_a_bag_takes_the_densities_it_is_given() -> None:
    water = Densities(red_cells_g_per_ml=1, plasma_g_per_ml=1, anticoagulant_g_per_ml=1, additive_g_per_ml=1)
    assert mass_g(STANDARD, water) == pytest.approx(513)
    with pytest.raises(OutOfRange, match="density must be between"):
        Densities(plasma_g_per_ml=1026)


def test_more_plasma_than_the_bag_held_is_refused_in_words() -> None:
    with pytest.raises(OutOfRange, match="holds 319 g of plasma with its anticoagulant; 400 g cannot"):
        express_plasma(STANDARD, 400)
    with pytest.raises(OutOfRange, match="cannot have come off"):
        express_plasma(STANDARD, -1)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (lambda: Content(red_cells_ml=-1), "volume of red cells"),
        (lambda: Content(plasma_ml=math.nan), "volume of plasma"),
        (lambda: draw(blood_ml=450, haematocrit=45, anticoagulant_ml=63), "haematocrit must be between 0 and 1; 45"),
        (lambda: draw(blood_ml=-1, haematocrit=0.4, anticoagulant_ml=63), "volume of blood"),
        (lambda: volume_ml_from_mass(-1, 1.05), "mass must be"),
        (lambda: volume_ml_from_mass(450, 1053), "density must be"),
        (lambda: mass_g_from_volume(450, 0), "density must be"),
        (lambda: target_gross_g(450, 1.053, -5), "tare"),
        (lambda: blood_volume_ml(0, 90), "weight must be more than 0"),
        (lambda: blood_volume_ml(30, 9), "blood volume"),
        (lambda: largest_draw_ml(30, 90, 0.3), "share of the blood volume"),
        (lambda: haematocrit_of(Content()), "empty bag has no haematocrit"),
        (lambda: density_g_per_ml(Content()), "empty bag has no density"),
        (lambda: predicted_layers(Content(), 0.8), "empty bag has no layers"),
        (lambda: predicted_layers(STANDARD, 0), "packed haematocrit"),
        (lambda: predicted_layers(STANDARD, 0.8, 0.2), "buffy coat"),
        (lambda: add_additive(STANDARD, -1), "volume of additive"),
        (lambda: split(STANDARD, (0.5, 0.6)), "must add up to 1"),
        (lambda: split(STANDARD, (1.5, -0.5)), "share must be"),
        (lambda: take_ml(STANDARD, 600), "holds 513 mL; 600 mL cannot"),
        (lambda: plasma_to_express_ml_for_haematocrit(STANDARD, 0.3), "can only raise"),
        (lambda: plasma_to_express_ml_for_haematocrit(Content(plasma_ml=9), 0.3), "no red cells"),
        (lambda: plasma_to_express_ml_for_share_left(STANDARD, 1.1), "share left"),
    ],
)  # fmt: skip
def test_values_outside_the_range_are_refused(wrong, words: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(OutOfRange, match=words):
        wrong()


@pytest.mark.parametrize(("at_c", "low", "high"), [(4, 1.0590, 1.0652), (37, 1.0475, 1.0537)])
def test_6_6_whole_blood_at_a_temperature_lies_in_the_published_interval(
    at_c: float, low: float, high: float
) -> None:
    # Trudnowski and Rico, Clin Chem 1974: 95 % intervals of whole blood.
    for haematocrit in (0.40, 0.45):
        blood = draw(blood_ml=450, haematocrit=haematocrit, anticoagulant_ml=0)
        assert low < density_at_c(blood, at_c) < high


@pytest.mark.parametrize(
    ("at_c", "haematocrit", "published"),
    [(4, 0, 1.0310), (37, 0, 1.0205), (4, 0.45, 1.0621), (37, 0.45, 1.0506)],
)
def test_6_7_volumes_from_mass_agree_with_another_source_within_the_published_half_per_cent(
    at_c: float, haematocrit: float, published: float
) -> None:
    # Burstain et al., Am J Clin Pathol 1994: 0.5 % by mass and haematocrit; densities by Trudnowski and Rico.
    bag = draw(blood_ml=450, haematocrit=haematocrit, anticoagulant_ml=0)
    assert 450 == pytest.approx(volume_ml_from_mass(450 * density_at_c(bag, at_c), published), rel=0.005)


@given(contents, st.floats(0, 40))
def test_density_falls_with_the_temperature_and_is_the_mean_of_the_parts(
    content: Content, to_c: float
) -> None:
    assert density_g_per_ml(content) == pytest.approx(density_at_c(content, 20), rel=1e-12)
    assert density_at_c(content, 0) >= density_at_c(content, to_c) >= density_at_c(content, 40)
    parts = DENSITIES.warmed(to_c).parts_g_per_ml
    assert min(parts) - 1e-12 <= density_at_c(content, to_c) <= max(parts) + 1e-12


def test_a_temperature_out_of_range_or_an_empty_bag_has_no_density() -> None:
    with pytest.raises(OutOfRange, match="temperature must be between 0 and 40"):
        density_at_c(STANDARD, 40.1)
    with pytest.raises(OutOfRange, match="empty bag has no density"):
        density_at_c(Content(), 4)


def test_6_6_a_cold_bag_is_denser_by_the_published_amount() -> None:
    # Trudnowski and Rico 1974: plasma 1.0310 at 4 °C and 1.0205 at 37 °C, whole blood 1.0621 and 1.0506.
    blood = draw(blood_ml=450, haematocrit=0.45, anticoagulant_ml=0)
    cold, warm = DENSITIES.warmed(4), DENSITIES.warmed(37)
    assert 1.0310 - 1.0205 == pytest.approx(cold.plasma_g_per_ml - warm.plasma_g_per_ml, abs=1e-4)
    assert 1.0621 - 1.0506 == pytest.approx(
        density_g_per_ml(blood, cold) - density_g_per_ml(blood, warm), abs=1e-3
    )
    assert DENSITIES.parts_g_per_ml == pytest.approx(cold.warmed(20, 4).parts_g_per_ml)
    with pytest.raises(OutOfRange, match="temperature"):
        DENSITIES.warmed(60)


def test_a_dog_unit_holds_the_published_haemoglobin() -> None:
    # SciELO 2019: 299.77 mL at 0.6087 hold 60.9 g.
    unit = Content(red_cells_ml=299.77 * 0.6087, plasma_ml=299.77 * 0.3913)
    assert haemoglobin_g(unit) == pytest.approx(60.9, rel=0.005)
    with pytest.raises(OutOfRange, match="haemoglobin of packed cells"):
        haemoglobin_g(unit, 3.3)


def test_citrate_comes_from_the_recipe_and_follows_the_plasma() -> None:
    # 26.3 g/L of trisodium citrate dihydrate (294.10 g/mol) and 3.27 g/L of citric acid monohydrate (210.14 g/mol).
    assert citrate_mmol(STANDARD) == pytest.approx(63 * (26.3 / 294.10 + 3.27 / 210.14), rel=2e-3)
    left, plasma = express_plasma(STANDARD, 250)
    assert citrate_mmol(STANDARD) == pytest.approx(citrate_mmol(left) + citrate_mmol(plasma))
