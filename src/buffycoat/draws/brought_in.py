"""A bag that stood on the shelf when this book began: what its old label said."""

from dataclasses import dataclass
from datetime import datetime

from buffycoat.journal.facts import Fact


@dataclass(frozen=True, kw_only=True)
class DonationBroughtIn(Fact, kind="donation-brought-in"):
    """The one bag that is left of a donation from before this book. It happened when the blood was drawn.

    `content_g` is reckoned from the volume; `expires_at` is the old label's and is never made longer.
    """

    donation: str
    donor: str
    species: str
    part: str
    product: str
    volume_ml: int
    content_g: int
    expires_at: datetime
    old_number: str
    row: str
    anticoagulant: str = ""
    place: str = ""
