"""The band of a fridge or freezer by the site's limits."""

from dataclasses import dataclass

from buffycoat.labels.products import FREEZER
from buffycoat.site.rules import Limits

WARM, COLD, SILENT = "warm", "cold", "silent"
CAUSES = {WARM: "Too warm", COLD: "Too cold", SILENT: "No reading"}
NO_LOWER_C = -100


@dataclass(frozen=True, kw_only=True)
class Band:
    """A reading on its edge is inside. A freezer has no lower edge."""

    low_c: int
    high_c: int

    @property
    def low_centi_c(self) -> int:
        return self.low_c * 100

    @property
    def high_centi_c(self) -> int:
        return self.high_c * 100

    def holds(self, centi_c: int) -> bool:
        return self.low_centi_c <= centi_c <= self.high_centi_c


def band_of(appliance: str, site: Limits) -> Band:
    if appliance == FREEZER:
        return Band(low_c=NO_LOWER_C, high_c=site.whole("freezer_most_c"))
    return Band(low_c=site.whole("fridge_least_c"), high_c=site.whole("fridge_most_c"))
