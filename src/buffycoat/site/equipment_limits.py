"""What a site decides about its equipment."""

from buffycoat.site.limit import COMMON, Limit, whole
from buffycoat.site.people_limits import REFUSE, WARN

EQUIPMENT = (
    whole("check_soon_days", "A check is announced before it is due", "d", 14, 0, 90, COMMON),
    Limit(
        key="overdue_equipment",
        title="A step with equipment whose check is overdue",
        default=WARN,
        choices=(WARN, REFUSE),
        source=f"The site's own. {COMMON} A new bank may not have all its checks at hand; then: refuse.",
    ),
)
