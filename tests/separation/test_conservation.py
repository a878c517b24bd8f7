"""For any draw and any weights that the rules take: nothing appears from nowhere, and no date is too late."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from buffycoat.donors.rules import ExamineDonor
from buffycoat.labels.products import CRYO, CRYO_POOR, PRODUCTS, THAWED, dating_key, expires_at
from buffycoat.labels.rules import Labelling
from buffycoat.science.composition import volume_ml
from buffycoat.separation.contents import predict, whole_content
from buffycoat.separation.rules import (
    AddAdditive,
    ExpressPlasma,
    LookForClots,
    LoseAdditive,
    SealSegments,
    Separation,
)
from buffycoat.separation.weighings import Weighings, WeighProduct, content_of, empty_g, expected_g
from buffycoat.site.limits import LIMITS, SHELF_LIFE
from buffycoat.site.rules import SetLimit, limits
from tests.walk import TARE_G, Walk, pure_walk

TOLERANCE_G = 10
DENSITY_ERROR = 0.01  # volume from mass and haematocrit: within 1 %, Burstain 1994 (check 6.7)
SETS = [
    ("dog", 450, 63, 100),
    ("dog", 250, 35, 60),
    ("dog", 450, 63, 0),
    ("cat", 50, 7, 0),
    ("cat", 60, 9, 15),
]
unhurried = settings(deadline=None)  # a busy machine is no fault of the rules
ZONES = ["UTC", "Europe/Berlin", "America/New_York", "Asia/Tokyo", "Pacific/Auckland", "Australia/Lord_Howe"]


@dataclass
class Bench:
    """A donation that was separated and weighed in any way that the rules take."""

    walk: Walk
    donation: str

    @property
    def state(self) -> Separation:
        return self.walk.look(Separation, self.donation)

    @property
    def site(self):
        return limits(self.walk.look)


@st.composite
def drawn(draw):
    walk = pure_walk()
    species, nominal_ml, anticoagulant_ml, additive_ml = draw(st.sampled_from(SETS))
    lot = walk.a_lot(
        species,
        nominal_ml=nominal_ml,
        anticoagulant_ml=anticoagulant_ml,
        additive="Invented additive" if additive_ml else "",
        additive_ml=additive_ml,
    )
    donor = walk.a_donor(species)
    pcv_permille = draw(st.integers(400 if species == "dog" else 350, 600))
    weight_g = 40_000 if species == "dog" else 7_000
    walk.do(ExamineDonor(donor=donor, weight_g=weight_g, pcv_permille=pcv_permille))
    blood_g = round(draw(st.integers(nominal_ml * 70 // 100, nominal_ml * 108 // 100)) * 1.053)
    wanted = {"donor": donor, "lot": lot, "wanted_ml": nominal_ml, "gross_g": TARE_G[species] + blood_g}
    return Bench(walk, walk.drawn(species, minutes=draw(st.integers(2, 20)), **wanted))


@st.composite
def separated(draw):
    bench = draw(drawn())
    walk, donation = bench.walk, bench.donation
    walk.spin(donation)
    ceiling_g = predict(bench.state.draw, bench.site).plasma_ceiling_g
    walk.do(ExpressPlasma(donation=donation, plasma_g=draw(st.integers(1, ceiling_g))))
    in_set_ml = bench.state.draw.started.bag_set.additive_ml
    if in_set_ml and draw(st.booleans()):
        added_ml = draw(st.integers(-(-in_set_ml * 8 // 10), in_set_ml * 11 // 10))
        walk.do(AddAdditive(donation=donation, additive_ml=added_ml))
    elif in_set_ml:
        walk.do(LoseAdditive(donation=donation, reason="Leaked."))
    walk.do(LookForClots(donation=donation, clots=False))
    walk.do(SealSegments(donation=donation, segments=4))
    for part in bench.state.parts:
        explained = draw(st.sampled_from(["", "", "Spilled at the port."]))
        off_g = draw(st.integers(-TOLERANCE_G * (3 if explained else 1), TOLERANCE_G))
        gross_g = expected_g(bench.state, part, bench.site) + empty_g(bench.state, part) + off_g
        weigh = WeighProduct(donation=donation, part=part, gross_g=gross_g, explained=explained)
        assume(off_g + expected_g(bench.state, part, bench.site) > 0)
        walk.do(weigh)
    return bench


def weighed(bench):
    return bench.walk.look(Weighings, bench.donation).weighed


@unhurried
@given(separated())
def test_mass_in_is_mass_out_and_accounted_loss(bench):
    draw, out = bench.state.draw, weighed(bench)
    anticoagulant_g = draw.started.bag_set.anticoagulant_ml * 1.020
    in_g = (draw.finished.gross_g - draw.started.tare_g) + anticoagulant_g + bench.state.additive_ml * 1.020
    out_g = sum(each.content_g for each in out.values())
    lost_g = sum(each.expected_g - each.content_g for each in out.values())
    not_a_product_g = 0 if "plasma" in out else bench.state.expressed.plasma_g
    assert in_g == pytest.approx(out_g + lost_g + not_a_product_g, abs=0.5 + 1e-9)


@unhurried
@given(separated())
def test_a_loss_beyond_the_tolerance_is_explained(bench):
    for each in weighed(bench).values():
        assert abs(each.expected_g - each.content_g) <= TOLERANCE_G or each.explained


@unhurried
@given(separated())
def test_each_kind_of_volume_is_in_one_bag_or_the_other(bench):
    state, site = bench.state, bench.site
    before = whole_content(state.draw).parts_ml
    after = [content_of(state, part, site).parts_ml for part in ("plasma", "red-cells")]
    both = [sum(parts) for parts in zip(*after, strict=True)]
    assert [*before[:3], state.additive_ml] == pytest.approx(both, abs=1e-9)


@unhurried
@given(separated())
def test_labels_never_hold_more_than_the_bag(bench):
    bench.walk.label(bench.donation)
    draw = bench.state.draw
    bag_ml = volume_ml(whole_content(draw)) + bench.state.additive_ml
    heavier_g = sum(max(0, each.content_g - each.expected_g) for each in weighed(bench).values())
    printed = bench.walk.look(Labelling, bench.donation).printed.values()
    assert sum(label.volume_ml for label in printed) <= bag_ml * (1 + DENSITY_ERROR) + heavier_g + len(
        printed
    )


@unhurried
@given(separated())
def test_volumes_on_the_label_are_the_red_cell_part_and_the_additive(bench):
    cells = weighed(bench)["red-cells"]
    assert cells.volume_ml == cells.red_cell_part_ml + bench.state.additive_ml
    assert 0 < cells.haematocrit_permille <= 1_000


@unhurried
@given(drawn(), st.integers(1, 2_000))
def test_plasma_above_the_ceiling_never_comes_off(bench, more_g):
    bench.walk.spin(bench.donation)
    held = predict(bench.state.draw, bench.site)
    assert 0 < held.express_g <= held.plasma_ceiling_g < held.bag_g
    press = ExpressPlasma(donation=bench.donation, plasma_g=held.plasma_ceiling_g + more_g)
    assert 1 == len(bench.walk.why_not(press))


@unhurried
@given(separated())
def test_plasma_on_a_label_stays_under_the_ceiling_but_for_what_two_weighings_may_disagree(bench):
    if "plasma" in weighed(bench):
        ceiling_g = predict(bench.state.draw, bench.site).plasma_ceiling_g
        assert weighed(bench)["plasma"].content_g <= ceiling_g + TOLERANCE_G


@unhurried
@given(drawn())
def test_the_layers_of_a_spun_bag_are_the_bag(bench):
    content = whole_content(bench.state.draw)
    layers = predict(bench.state.draw, bench.site).layers
    assert volume_ml(content) == pytest.approx(sum(layer.volume_ml for layer in layers))


any_limits = st.fixed_dictionaries({each.key: st.integers(each.least, each.most) for each in SHELF_LIFE})
any_moment = st.integers(0, 9 * 365 * 24).map(
    lambda hours: datetime(2024, 1, 1, tzinfo=UTC) + timedelta(hours=hours)
)


def dated(species, anticoagulant, at, set_here, zone):
    """A bench whose site has set all its limits, and a donation drawn there at that time."""
    walk = pure_walk()
    for key, value in {**set_here, "time_zone": zone}.items():
        if value != LIMITS[key].default:
            walk.do(SetLimit(key=key, value=value, reason="Any"))
    walk.at = at
    lot = walk.a_lot(species, anticoagulant=anticoagulant, additive="Invented additive", additive_ml=100)
    walk.at = at.astimezone(ZoneInfo(zone)).replace(hour=9, minute=30).astimezone(UTC)
    born_on = walk.at.date() - timedelta(days=3 * 365)
    return Bench(walk, walk.drawn(species, donor=walk.a_donor(species, born_on=born_on), lot=lot))


SEPARATED = sorted(
    {*PRODUCTS} - {CRYO, CRYO_POOR, *THAWED.values()}
)  # what later changes make is dated by them


@unhurried
@given(
    st.sampled_from(["dog", "cat"]),
    st.sampled_from(["CPDA-1", "CPD", "CP2D", "ACD"]),
    any_moment,
    any_limits,
    st.sampled_from(ZONES),
    st.sampled_from(SEPARATED),
)
def test_no_date_is_later_than_the_limit_of_the_site(species, anticoagulant, at, set_here, zone, product):
    bench = dated(species, anticoagulant, at, set_here, zone)
    limit = set_here[dating_key(PRODUCTS[product], species, anticoagulant)]
    expires = expires_at(PRODUCTS[product], bench.state, bench.site).astimezone(ZoneInfo(zone))
    drawn_on = bench.state.draw.finished_at.astimezone(ZoneInfo(zone)).date()
    if "plasma" in product:
        assert (limit, True) == (
            expires.year - drawn_on.year,
            (expires.month, expires.day) <= (drawn_on.month, drawn_on.day),
        )
    else:
        assert limit == (expires.date() - drawn_on).days
    assert "23:59" == f"{expires:%H:%M}"


@unhurried
@given(
    st.sampled_from(["dog", "cat"]),
    st.sampled_from(["CPDA-1", "CPD", "CP2D", "ACD"]),
    any_moment,
    st.just({}) | any_limits,
    st.sampled_from(ZONES),
)
def test_a_lost_additive_never_gives_a_later_date_than_an_added_one(
    species, anticoagulant, at, set_here, zone
):
    dates = []
    for became in (LoseAdditive(donation="", reason="Leaked."), AddAdditive(donation="", additive_ml=100)):
        bench = dated(species, anticoagulant, at, set_here, zone)
        bench.walk.spin(bench.donation)
        bench.walk.press(bench.donation)
        bench.walk.do(type(became)(**{**vars(became), "donation": bench.donation}))
        bench.walk.finish_cells(bench.donation)
        bench.walk.weigh(bench.donation)
        bench.walk.label(bench.donation)
        dates.append(bench.walk.look(Labelling, bench.donation).printed["red-cells"].expires_at)
    assert dates[0] <= dates[1]
