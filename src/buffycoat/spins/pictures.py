"""The rotor from above, as proposed and as it ran."""

from collections.abc import Iterable

from buffycoat.science.balance import Loading
from buffycoat.shell.pictures.picture import Picture
from buffycoat.shell.pictures.rotor import Place, draw_rotor
from buffycoat.spins.models import SpinPlaceRow, SpinRow
from buffycoat.spins.rotors import Rotor


def rotor_of_proposal(loading: Loading, rotor: Rotor) -> Picture:
    assert rotor.registered
    places = [
        Place(
            label=str(place.number),
            bag_code=place.loads[0].label if place.loads else None,
            bag_g=round(sum(load.mass_g for load in place.loads)),
            filler_g=round(place.filler_g),
        )
        for place in loading.places
    ]
    return draw_rotor(places, pair_limit_g=rotor.registered.pair_limit_g)


def rotor_of_spin(spin: SpinRow, rows: Iterable[SpinPlaceRow]) -> Picture:
    places = [
        Place(label=str(row.place), bag_code=row.donation_id, bag_g=row.mass_g, filler_g=row.filler_g) for row in rows
    ]
    return draw_rotor(places, pair_limit_g=spin.rotor.pair_limit_g)
