"""The invented hospital before its first draw: settings, machines, places, bag sets, and the donors' cards."""

from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from buffycoat.demo.animals import EVERYONE, email_of, phone_of
from buffycoat.demo.bench import Bench
from buffycoat.demo.health import old_card
from buffycoat.donors.rules import DonorRegistered, RegisterDonor, TypeBlood
from buffycoat.draws.bag_sets import BagSetLotReceived, ReceiveBagSetLot
from buffycoat.people.models import OwnerContact
from buffycoat.science.shelf_life import local_to_utc
from buffycoat.site.rules import SetLimit
from buffycoat.spins.rotors import RegisterRotor, RotorRegistered, WriteProgramme
from buffycoat.storage.places import OpenPlace, PlaceOpened

ZONE = ZoneInfo("Europe/London")
NAME = "Lantern Quay Animal Hospital (invented)"
PROGRAMMES = {"dog": "Dog, hard", "cat": "Cat, small bag"}
OPENS = time(8, 0)
PLACES = ("Fridge dogs", "Fridge cats", "Freezer dogs", "Freezer cats")
CARDS_A_DAY = 9  # donors entered from the old card index on each day of the first week


@dataclass(frozen=True, kw_only=True)
class House:
    """The numbers that the book gave: rotors, places, lots by the maker's number, donors by name."""

    rotors: dict[str, str]
    places: dict[str, str]
    lots: dict[str, str]
    donors: dict[str, str]


def local(day: date, clock: time) -> datetime:
    return local_to_utc(datetime.combine(day, clock), ZONE)


def open_house(bench: Bench, letters: str, *, first_day: date, last_day: date) -> House:
    """Sets the hospital up on its first day, a Monday; the donors' cards take the rest of that week."""
    bench.at = local(first_day, OPENS)
    for key, value in (("site_code", letters), ("site_name", NAME), ("time_zone", ZONE.key)):
        bench.does(SetLimit(key=key, value=value, reason="The site's own, decided when the bank was set up."))
    return House(
        rotors={letter: _rotor(bench, letter) for letter in "AB"},
        places={name: _place(bench, name) for name in PLACES},
        lots={lot.maker_lot: bench.does(lot).the(BagSetLotReceived).lot for lot in _lots(last_day)},
        donors=_donors(bench, first_day, last_day),
    )


def _rotor(bench: Bench, letter: str) -> str:
    register = RegisterRotor(
        name=f"Swing-out {letter}",
        centrifuge=f"Centrifuge {letter}",
        places=4,
        radius_mm=250,
        most_rpm=4_200,
        pair_limit_g=2,
    )
    rotor = bench.does(register).the(RotorRegistered).rotor
    for species, rpm, minutes in (("dog", 4_200, 10), ("cat", 3_800, 8)):
        bench.does(
            WriteProgramme(
                rotor=rotor,
                name=PROGRAMMES[species],
                species=species,
                rpm=rpm,
                duration_s=60 * minutes,
                temperature_c=4,
                brake="2",
                validated="Invented for the demo: never run it on a real machine.",
            )
        )
    return rotor


def _place(bench: Bench, name: str) -> str:
    appliance = name.split()[0].lower()
    return bench.does(OpenPlace(name=name, appliance=appliance)).the(PlaceOpened).place


def _lots(last_day: date) -> tuple[ReceiveBagSetLot, ...]:
    """The first lot for dogs is used up early and has expired when the story ends."""
    plain_dog = ReceiveBagSetLot(
        maker_lot="D2088",
        expires_on=last_day + timedelta(days=310),
        title="Dog 450, plasma bag",
        species="dog",
        nominal_ml=450,
        anticoagulant="CPDA-1",
        anticoagulant_ml=63,
        main_bag_empty_g=32,
        plasma_bag_empty_g=28,
    )
    new_dog = replace(
        plain_dog,
        maker_lot="Q5230",
        expires_on=last_day + timedelta(days=400),
        title="Dog 450, plasma bag and additive",
        anticoagulant="CPD",
        additive="SAGM-type",
        additive_ml=100,
    )
    old_dog = replace(new_dog, maker_lot="Q4471", expires_on=last_day - timedelta(days=12))
    cat = ReceiveBagSetLot(
        maker_lot="S0917",
        expires_on=last_day + timedelta(days=250),
        title="Cat 50, plasma bag",
        species="cat",
        nominal_ml=50,
        anticoagulant="CPDA-1",
        anticoagulant_ml=7,
        main_bag_empty_g=14,
        plasma_bag_empty_g=9,
    )
    return old_dog, new_dog, plain_dog, cat


def lot_for(house: House, species: str, *, additive: bool, on: date, last_day: date) -> str:
    if species == "cat":
        return house.lots["S0917"]
    if not additive:
        return house.lots["D2088"]
    return house.lots["Q4471" if on < last_day - timedelta(days=30) else "Q5230"]


def _donors(bench: Bench, first_day: date, last_day: date) -> dict[str, str]:
    numbers = {}
    for index, animal in enumerate(EVERYONE):
        if index % CARDS_A_DAY == 0:
            bench.at = local(first_day + timedelta(days=index // CARDS_A_DAY), time(10, 0))
        card = RegisterDonor(
            name=animal.name,
            species=animal.species,
            sex=animal.sex,
            born_on=last_day - timedelta(days=animal.age_days),
            breed=animal.breed,
            cautions=animal.cautions,
        )
        number = bench.does(card, after_min=4).the(DonorRegistered).donor
        typed = TypeBlood(donor=number, blood_type=animal.blood_type, method="card", reader=bench.by)
        bench.does(typed, after_min=5)
        old_card(bench, number, animal, index, last_day)
        numbers[animal.name] = number
    OwnerContact.objects.bulk_create(
        OwnerContact(
            donor=numbers[animal.name],
            name=animal.owner,
            phone=phone_of(animal.owner),
            email=email_of(animal.owner),
        )
        for animal in EVERYONE
    )
    return numbers
