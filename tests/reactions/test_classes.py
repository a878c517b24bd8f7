"""The consensus definitions, row by row: TRACS 2021 part 1 and ISFM 2021 table 4 (handbook 9 and 13, row 22)."""

import pytest

from buffycoat.reactions.classes import TABLE, Findings, kinds_that_fit

DAY_H = 24


def fitting(hours=1.0, **seen):
    return [kind.key for kind in kinds_that_fit(Findings(hours=hours, **seen))]


@pytest.mark.parametrize(
    ("before_dc", "after_dc", "fever"),
    [(384, 395, True), (379, 390, False), (386, 396, False), (379, 391, True), (380, 391, True)],
)
def test_fever_is_over_39_degrees_and_more_than_one_degree_above_before(before_dc, after_dc, fever):
    assert (["fever"] if fever else []) == fitting(before_dc=before_dc, after_dc=after_dc)


def test_the_printed_fahrenheit_is_another_limit_than_the_printed_celsius():
    """39.1 °C is fever by 39 °C and not by 102.5 °F, which is 39.17 °C."""
    assert ["fever"] == fitting(before_dc=379, after_dc=391, fever_over_dc=390)
    assert [] == fitting(before_dc=379, after_dc=391, fever_over_dc=392)


@pytest.mark.parametrize(
    "but",
    [
        {"hours": 4.1},
        {"fever_explained": True},
        {"before_dc": None},
        {"after_dc": None},
    ],
)
def test_a_fever_that_is_late_explained_or_not_measured_is_no_febrile_reaction(but):
    assert "fever" not in fitting(**{"before_dc": 384, "after_dc": 400, **but})


def test_fever_with_haemolysis_or_sepsis_is_not_called_febrile():
    warm = {"before_dc": 384, "after_dc": 400}
    assert ["acute-haemolytic"] == fitting(**warm, haemolysis=True)
    assert ["infection"] == fitting(**warm, infection=True)


@pytest.mark.parametrize(("hours", "key"), [(24, "acute-haemolytic"), (24.1, "delayed-haemolytic")])
def test_haemolysis_is_acute_for_24_hours_and_then_delayed(hours, key):
    assert [key] == fitting(hours, haemolysis=True)


@pytest.mark.parametrize(("hours", "expected"), [(28 * DAY_H, ["delayed-haemolytic"]), (28 * DAY_H + 1, [])])
def test_a_delayed_reaction_ends_after_28_days(hours, expected):
    assert expected == fitting(hours, cells_lost_early=True)


def test_a_new_antibody_alone_is_a_serological_reaction():
    assert ["delayed-serological"] == fitting(72, new_antibody=True)
    assert ["delayed-haemolytic"] == fitting(72, new_antibody=True, haemolysis=True)


WET = {"breathing": True, "lungs_wet": True}


@pytest.mark.parametrize(
    ("seen", "expected"),
    [
        ({**WET, "overload": True}, ["overload"]),
        ({**WET, "overload": True, "hypoxaemia": True}, ["overload"]),
        ({**WET, "hypoxaemia": True}, ["lung-injury"]),
        ({**WET, "hypoxaemia": True, "lungs_ill_before": True}, []),
        ({"breathing": True}, ["dyspnoea"]),
        ({"breathing": True, "lungs_ill_before": True}, []),
        ({"breathing": True, "allergic_signs": True}, ["allergic"]),
    ],
)
def test_breathing_distress_is_told_apart_by_lungs_heart_and_oxygen(seen, expected):
    assert expected == fitting(6 if "lungs_wet" in seen else 3, **seen)


def test_overload_and_lung_injury_come_within_6_hours_and_dyspnoea_within_24():
    assert ["dyspnoea"] == fitting(6.1, **WET, overload=True)
    assert ["dyspnoea"] == fitting(6.1, **WET, hypoxaemia=True)
    assert [] == fitting(24.1, breathing=True)


@pytest.mark.parametrize(("hours", "expected"), [(4, ["allergic"]), (4.1, [])])
def test_an_allergic_reaction_comes_within_4_hours(hours, expected):
    assert expected == fitting(hours, allergic_signs=True)


@pytest.mark.parametrize(
    ("fall", "explained", "expected"), [(29, False, []), (30, False, ["hypotension"]), (60, True, [])]
)
def test_pressure_must_fall_by_30_and_have_no_other_cause(fall, explained, expected):
    """30 mmHg: human texts (handbook 9)."""
    assert expected == fitting(pressure_fall_mmhg=fall, pressure_explained=explained)


@pytest.mark.parametrize(
    ("hours", "expected"),
    [(5 * DAY_H - 1, []), (5 * DAY_H, ["purpura"]), (12 * DAY_H, ["purpura"]), (12 * DAY_H + 1, [])],
)
def test_purpura_comes_after_5_to_12_days(hours, expected):
    assert expected == fitting(hours, platelets_fell=True)


def test_nothing_seen_fits_nothing_and_each_row_has_its_source():
    assert [] == fitting()
    assert [] == [kind.key for kind in TABLE if not (kind.source and kind.first and kind.criteria)]
