"""How far a programme packs the red cells: an estimate, so that a weak programme is seen before blood is spun."""

from functools import cache

from buffycoat.science.errors import OutOfRange
from buffycoat.spins.models import ProgrammeRow

DRAWN_HAEMATOCRIT = 0.39  # 450 mL of blood at a PCV of 45 % with 63 mL of anticoagulant


def packed(programme: ProgrammeRow, depth_mm: int) -> int | None:
    return packed_percent(
        rpm=programme.rpm,
        duration_s=programme.duration_s,
        radius_mm=programme.rotor.radius_mm,
        depth_mm=depth_mm,
    )


@cache
def packed_percent(*, rpm: int, duration_s: int, radius_mm: int, depth_mm: int) -> int | None:
    """Mean haematocrit below the clear plasma at the end of the run, in per cent; None where the model says nothing.

    The bag is a column of `depth_mm` that ends at the bottom of the bucket; speeding up and slowing down are left out.
    """
    # numpy takes longer to load than the whole page, and only this estimate needs it.
    from buffycoat.science.centrifuge import g_seconds
    from buffycoat.science.settling import settle

    try:
        field = g_seconds(rpm, radius_mm - depth_mm / 2, 0, duration_s, 0)
        return round(settle(DRAWN_HAEMATOCRIT, depth_mm, field).packed_haematocrit * 100)
    except OutOfRange:
        return None
