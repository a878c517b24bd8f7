"""What a site decides about the people who work there."""

from buffycoat.site.limit import Limit, whole

WHO_HAS_IT, EVERYONE = "who has set it up", "everyone"
OFF, WARN, REFUSE, ASKED = "off", "warn", "refuse", "asked"
LEAST_IDLE_MIN = 2
IDLE = "The site's own. OWASP on sessions, from memory: 2 to 5 min where much is at stake, 15 to 30 min else."

PEOPLE = (
    Limit(
        key="second_factor",
        title="Second factor beside the password",
        default=WHO_HAS_IT,
        choices=(WHO_HAS_IT, EVERYONE),
        source="The site's own. OWASP ASVS 5.0 asks it of everyone at level 2.",
    ),
    whole(
        "idle_password_min",
        "A sign-in by password ends when nothing was done for",
        "min",
        30,
        LEAST_IDLE_MIN,
        720,
        IDLE,
    ),
    whole(
        "idle_pin_min",
        "A bench opened by badge and PIN locks when nothing was done for",
        "min",
        15,
        LEAST_IDLE_MIN,
        720,
        IDLE,
    ),
    Limit(
        key="second_person_for_rules",
        title="A changed limit, programme or panel is typed by a second person too",
        default=OFF,
        choices=(OFF, ASKED),
        source="The site's own: blind second check of rules and recipes. Off, so that one person can begin alone.",
    ),
    Limit(
        key="training_gate",
        title="A step by someone without a signature for it",
        default=OFF,
        choices=(OFF, WARN, REFUSE),
        source="The site's own. Off, so that a new bank can begin before anyone has signed.",
    ),
)
