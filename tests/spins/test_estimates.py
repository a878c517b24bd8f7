"""The estimate of packing, beside what was measured on dogs."""

from buffycoat.spins.estimates import packed_percent


def percent(rpm: int = 4_200, duration_s: int = 600, radius_mm: int = 250, depth_mm: int = 100) -> int | None:
    return packed_percent(rpm=rpm, duration_s=duration_s, radius_mm=radius_mm, depth_mm=depth_mm)


def test_a_hard_spin_packs_as_far_as_red_cells_are_reported_to_be_packed():
    # Hct of red cells without additive 0.65 to 0.80: AU table and US limit, from memory.
    assert 65 <= (percent() or 0) <= 80


def test_a_light_spin_is_seen_to_be_weak():
    assert (percent(rpm=2_000, duration_s=180) or 0) < 50


def test_longer_faster_and_shallower_all_pack_further():
    plain = percent(rpm=3_000) or 0
    for further in (
        percent(rpm=3_000, duration_s=1_200),
        percent(rpm=3_600),
        percent(rpm=3_000, depth_mm=60),
    ):
        assert plain < (further or 0)


def test_where_the_model_says_nothing_nothing_is_told():
    assert percent(rpm=10_000, duration_s=3_600) is None
