"""What a new bank sets up before its first donor can give, in this order."""

from dataclasses import dataclass

from django.urls import reverse

from buffycoat.donors.models import DonorRow
from buffycoat.draws.models import BagSetLotRow
from buffycoat.labels.products import FREEZER, FRIDGE
from buffycoat.site.rules import Limits
from buffycoat.spins.models import ProgrammeRow, RotorRow
from buffycoat.storage.models import PlaceRow


@dataclass(frozen=True, kw_only=True)
class Thing:
    words: str
    why: str
    path: str
    done: bool


def things(site: Limits) -> list[Thing]:
    rotor = RotorRow.objects.first()
    appliances = set(PlaceRow.objects.values_list("appliance", flat=True))
    return [
        Thing(
            words="Look through the limits",
            why="Name, time zone and code letters of the site first: the letters stand in every code from now on.",
            path=reverse("limits"),
            done="site_name" in site.set_here,
        ),
        Thing(
            words="Open a fridge and a freezer",
            why="Each gets a card for its door, to be scanned when a unit is put away.",
            path=reverse("place-new"),
            done={FRIDGE, FREEZER} <= appliances,
        ),
        Thing(
            words="Write the programme of the rotor" if rotor else "Register the rotor and its programme",
            why="From the maker's manual, with the speed and time that were validated on this machine.",
            path=reverse("rotor", args=[rotor.rotor]) if rotor else reverse("rotor-new"),
            done=ProgrammeRow.objects.exists(),
        ),
        Thing(
            words="Receive a lot of bag sets",
            why="What the box says: lot, expiry, anticoagulant, additive, and what the empty bags weigh.",
            path=reverse("bag-set-new"),
            done=BagSetLotRow.objects.exists(),
        ),
        Thing(
            words="Register a donor",
            why="A dog or a cat; weight and PCV are asked on the day of each draw. A list kept before: see Lists.",
            path=reverse("donor-new"),
            done=DonorRow.objects.exists(),
        ),
    ]
