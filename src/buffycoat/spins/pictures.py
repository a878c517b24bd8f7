"""The rotor from above, as proposed and as it ran."""

import math
from collections.abc import Iterable, Sequence

from buffycoat.science.balance import Loading
from buffycoat.shell.pictures.picture import Picture
from buffycoat.shell.pictures.rotor import Place, draw_rotor
from buffycoat.spins.models import SpinPlaceRow, SpinRow
from buffycoat.spins.rotors import Rotor
from buffycoat.spins.rules import SpinFiller, bag_g, fillers_g


def rotor_of_proposal(loading: Loading, rotor: Rotor, weighed: Sequence[SpinFiller] = ()) -> Picture:
    assert rotor.registered
    places = [
        Place(
            label=str(place.number),
            bag_code=place.loads[0].label if place.loads else None,
            bag_g=bag_g(place),
            filler_g=filler_g,
        )
        for place, filler_g in zip(loading.places, fillers_g(loading, weighed), strict=True)
    ]
    return _drawn(places, rotor.registered.pair_limit_g)


def rotor_of_spin(spin: SpinRow, rows: Iterable[SpinPlaceRow]) -> Picture:
    places = [
        Place(label=str(row.place), bag_code=row.donation_id, bag_g=row.mass_g, filler_g=row.filler_g)
        for row in rows
    ]
    return _drawn(places, spin.rotor.pair_limit_g)


def _drawn(places: Sequence[Place], pair_limit_g: int) -> Picture:
    """The maker gives a limit for opposite places only; together they may pull as far as pairs within it can."""
    together_g = math.ceil(pair_limit_g / math.sin(math.pi / len(places)))
    return draw_rotor(places, pair_limit_g=pair_limit_g, vector_limit_g=together_g)
