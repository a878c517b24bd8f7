"""What a site decides about the people who work there."""

from buffycoat.site.limit import Limit

WHO_HAS_IT, EVERYONE = "who has set it up", "everyone"
OFF, WARN, REFUSE = "off", "warn", "refuse"

PEOPLE = (
    Limit(
        key="second_factor",
        title="Second factor beside the password",
        default=WHO_HAS_IT,
        choices=(WHO_HAS_IT, EVERYONE),
        source="The site's own. OWASP ASVS 5.0 asks it of everyone at level 2.",
    ),
    Limit(
        key="training_gate",
        title="A step by someone without a signature for it",
        default=OFF,
        choices=(OFF, WARN, REFUSE),
        source="The site's own. Off, so that a new bank can begin before anyone has signed.",
    ),
)
