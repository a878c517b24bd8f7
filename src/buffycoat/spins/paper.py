"""For the spin: the rotor's card, and the sheet that lies beside the centrifuge."""

from collections.abc import Iterable
from datetime import datetime
from pathlib import Path
from typing import Any

from buffycoat.shell.paper import Card, code_data, moment_and_zone, one_card, pdf, sheet_of_cards
from buffycoat.shell.words import celsius, duration, grams, grouped, with_unit
from buffycoat.site.rules import Limits
from buffycoat.spins.models import RotorRow, SpinPlaceRow, SpinRow
from buffycoat.spins.rules import OUTCOMES

CAUTIONS = (
    "Follow the manual of this centrifuge and rotor: it has the last word on buckets, loads and imbalance.",
    "The masses are as they were typed. Before the lid is closed, weigh opposite buckets against each other, "
    "loaded.",
    "Stop the run if the centrifuge shakes. Open it only when the rotor stands still.",
    "A leak: leave the lid closed for as long as the manual and your local rules say, then clean as they say.",
)


def rotor_card(rotor: RotorRow, site: Limits) -> bytes:
    return one_card(_card(rotor, site))


def rotor_cards(rotors: Iterable[RotorRow], site: Limits) -> bytes:
    """A4 sheets to cut."""
    return sheet_of_cards(_card(rotor, site) for rotor in rotors)


def _card(rotor: RotorRow, site: Limits) -> Card:
    return Card(
        noun="Rotor",
        title=rotor.name,
        code=rotor.rotor,
        strong=f"{rotor.places} places",
        lines=(
            f"centrifuge {rotor.centrifuge}",
            f"at most {grouped(rotor.most_rpm)} rpm",
            f"radius {with_unit(grouped(rotor.radius_mm), 'mm')}",
            f"opposite buckets within {grams(rotor.pair_limit_g)}",
        ),
        site_name=site.text("site_name"),
    )


def spin_sheet(spin: SpinRow, at: datetime, site: Limits) -> bytes:
    """An A4 sheet, printed `at`: which bag in which bucket, the programme, and who loaded and looked."""
    rotor, places = spin.rotor, list(spin.places.order_by("place"))
    by_place = {each.place: each for each in places}
    return pdf(
        Path(__file__).parent / "typ" / "spin_sheet.typ",
        {
            "spin": code_data(spin.spin),
            "site": site.text("site_name"),
            "rotor": rotor.name,
            "centrifuge": rotor.centrifuge,
            "pair_limit": grams(rotor.pair_limit_g),
            "programme": {
                "Programme": spin.programme,
                "For": f"{spin.species} blood",
                "Speed": with_unit(grouped(spin.rpm), "rpm"),
                "RCF": f"{with_unit(grouped(spin.rcf), '× g')} at the bottom of the bucket",
                "Time": duration(spin.duration_s),
                "Temperature": celsius(spin.temperature_c),
                "Brake": spin.brake,
                "Started": moment_and_zone(spin.started_at, site.zone),
            },
            "outcomes": OUTCOMES,
            "places": [_place(each, by_place) for each in places],
            "cautions": CAUTIONS,
            "printed": f"Printed {moment_and_zone(at, site.zone)}. Where paper and book differ, the book is right.",
        },
    )


def _place(place: SpinPlaceRow, by_place: dict[int, SpinPlaceRow]) -> dict[str, Any]:
    opposite = (place.place - 1 + len(by_place) // 2) % len(by_place) + 1
    difference_g = abs(_total_g(place) - _total_g(by_place[opposite]))
    return {
        "place": place.place,
        "opposite": opposite,
        "bag": code_data(place.donation_id) if place.donation_id else None,
        "mass": grams(place.mass_g) if place.donation_id else "",
        "filler": grams(place.filler_g) if place.filler_g else "",
        "total": grams(_total_g(place)),
        "difference": grams(difference_g),
        "outcome": place.outcome,
    }


def _total_g(place: SpinPlaceRow) -> int:
    return place.mass_g + place.filler_g
