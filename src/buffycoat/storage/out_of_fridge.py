"""How long a unit was out of its fridge over its life, and whether it may go back."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from buffycoat.science.shelf_life import elapsed
from buffycoat.site.change_limits import BY_SURFACE
from buffycoat.site.rules import Limits

LEAST_C = 1  # UK animal bank: 1 to 10 °C


@dataclass(frozen=True, kw_only=True)
class Outings:
    """`since`: it is out now, since then. `before_s`: all the times before, together."""

    since: datetime | None = None
    before_s: int = 0

    def now_s(self, at: datetime) -> int:
        return max(0, round(elapsed(self.since, at).total_seconds())) if self.since else 0

    def back_by(self, site: Limits) -> datetime | None:
        """The last moment at which it may go back, by time; None if it is not out."""
        if self.since is None:
            return None
        left_s = min(
            60 * site.whole("out_each_min"), max(0, 60 * site.whole("out_total_min") - self.before_s)
        )
        return self.since + timedelta(seconds=left_s)

    def warm(self, at: datetime, site: Limits) -> bool:
        """Out for too long, where the time decides. Where the surface decides, only a thermometer can tell."""
        back_by = self.back_by(site)
        return back_by is not None and not by_surface(site) and elapsed(back_by, at) > timedelta(0)


def by_surface(site: Limits) -> bool:
    return site.text("return_by") == BY_SURFACE


def in_minutes(seconds: int) -> str:
    """Begun minutes count as whole ones.

    >>> in_minutes(1801), in_minutes(0)
    ('31 min', '0 min')
    """
    return f"{-(-seconds // 60)} min"


def why_not_back(outings: Outings, at: datetime, surface_c: int | None, site: Limits) -> Iterator[str]:
    """Every reason why it may not go back into a fridge."""
    if outings.since is None:
        return
    yield from _why_not_so_warm(surface_c, site)
    if by_surface(site):
        return
    now_s, total_s = outings.now_s(at), outings.now_s(at) + outings.before_s
    each_min, total_min = site.whole("out_each_min"), site.whole("out_total_min")
    if now_s > 60 * each_min:
        yield (
            f"It was out of the fridge for {in_minutes(now_s)}, and {each_min} min are allowed at once: "
            "discard it."
        )
    if total_s > 60 * total_min:
        yield (
            f"With {in_minutes(outings.before_s)} before, it was out of the fridge for {in_minutes(total_s)} in all, "
            f"and {total_min} min are allowed over its life: discard it."
        )


def _why_not_so_warm(surface_c: int | None, site: Limits) -> Iterator[str]:
    most_c = site.whole("return_most_c")
    if surface_c is None:
        if by_surface(site):
            yield "Measure its surface: here the temperature decides whether it goes back."
    elif surface_c > most_c:
        yield f"Its surface is at {surface_c} °C and goes back up to {most_c} °C: discard it."
    elif surface_c < LEAST_C:
        yield f"Its surface is at {surface_c} °C: red cells that froze have burst, discard it.".replace(
            "-", "−"
        )
