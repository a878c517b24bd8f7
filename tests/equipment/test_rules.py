"""What is out of use stops its step until it is right again; a check that is late does so where the site says so."""

from datetime import date, timedelta

import pytest

from buffycoat.equipment.rules import (
    CheckEquipment,
    Equipment,
    EquipmentRegistered,
    PutBack,
    RegisterEquipment,
    TakeOutOfUse,
    why_not_in_use,
)
from buffycoat.site.people_limits import REFUSE
from buffycoat.site.rules import SetLimit
from buffycoat.spins.rules import StartSpin
from buffycoat.storage.rules import PutAway
from tests.walk import START, pure_walk, unknown

TODAY = START.date()
NOTHING = unknown("E")


def register(**but):
    values = {
        "name": "Big spinner",
        "sort": "centrifuge",
        "maker_number": "INV-7",
        "check_every_days": 365,
        "checked_how": "Speed by a strobe, temperature by a probe",
        "due_on": TODAY + timedelta(days=30),
    }
    return RegisterEquipment(**{**values, **but})


def a_piece(walk, **but):
    return walk.do(register(**but)).the(EquipmentRegistered).equipment


def why_not(walk, piece):
    return list(why_not_in_use(walk.look, piece, walk.at))


@pytest.mark.parametrize(
    ("command", "reasons"),
    [
        (register(), []),
        (register(name=" "), ["Give its name and the number that its maker gave it."]),
        (register(maker_number=""), ["Give its name and the number that its maker gave it."]),
        (
            register(sort="lamp"),
            [
                "Say what it is: scale, centrifuge, tube sealer, fridge or freezer, thermometer or logger, "
                "thawing bath, something else."
            ],
        ),
        (register(check_every_days=0), ["It is checked every 1 to 3660 days: see its maker's manual."]),
        (register(check_every_days=1), []),
        (register(check_every_days=3660), []),
        (register(check_every_days=3661), ["It is checked every 1 to 3660 days: see its maker's manual."]),
        (
            register(checked_how=""),
            ["Say how it is checked, and against what: test masses, a reference thermometer, a service."],
        ),
        (
            register(serves=unknown("T")),
            [f"{unknown('T')} is no rotor or place of this book: scan its card again."],
        ),
        (
            register(serves=unknown("D")),
            [f"{unknown('D')} is no rotor or place of this book: scan its card again."],
        ),
        (
            CheckEquipment(equipment=NOTHING, passed=True, found=" "),
            [
                f"No piece of equipment has the number {NOTHING}: scan its card again.",
                "Write down what was read, against what, and who checked it: “100 g read 100 g, 500 g read 501 g”.",
            ],
        ),
        (
            TakeOutOfUse(equipment=NOTHING, reason=""),
            [
                f"No piece of equipment has the number {NOTHING}: scan its card again.",
                "Say what is wrong with it.",
            ],
        ),
        (
            PutBack(equipment=NOTHING, why=""),
            [
                f"No piece of equipment has the number {NOTHING}: scan its card again.",
                "Say what was done, and how it was seen that it works.",
            ],
        ),
    ],
)
def test_equipment_is_written_down_or_refused_in_words(command, reasons):
    assert reasons == pure_walk().why_not(command)


def test_a_check_sets_the_day_of_the_next_one():
    walk = pure_walk()
    piece = a_piece(walk)
    walk.do(CheckEquipment(equipment=piece, passed=True, found="3000 rpm read 3002 rpm"))
    assert date(2026, 3, 10) == walk.look(Equipment, piece).due_on


def test_what_does_not_pass_is_out_of_use_until_it_passes():
    walk = pure_walk()
    piece = a_piece(walk)
    assert [] == why_not(walk, piece)
    walk.do(CheckEquipment(equipment=piece, passed=False, found="3000 rpm read 2650 rpm."))
    stopped = "Big spinner is out of use: it did not pass its check (3000 rpm read 2650 rpm). Take another."
    assert [stopped] == why_not(walk, piece)
    back = PutBack(equipment=piece, why="It sounds well")
    assert [
        "It did not pass its check: record a check that it passes, and it is in use again."
    ] == walk.why_not(back)
    walk.do(CheckEquipment(equipment=piece, passed=True, found="3000 rpm read 3001 rpm"))
    assert [] == why_not(walk, piece)
    assert ["Big spinner is in use."] == walk.why_not(back)


def test_what_was_taken_out_comes_back_on_record_only():
    walk = pure_walk()
    piece = a_piece(walk)
    walk.do(TakeOutOfUse(equipment=piece, reason="The lid does not lock."))
    assert ["It is out of use already: The lid does not lock."] == walk.why_not(
        TakeOutOfUse(equipment=piece, reason="once more")
    )
    walk.do(CheckEquipment(equipment=piece, passed=True, found="3000 rpm read 3001 rpm"))
    assert ["Big spinner is out of use: The lid does not lock. Take another."] == why_not(walk, piece)
    walk.do(PutBack(equipment=piece, why="New lock, ten times closed"))
    assert [] == why_not(walk, piece)


def test_it_is_used_to_the_end_of_its_last_day_and_then_as_the_site_decided():
    walk = pure_walk()
    piece = a_piece(walk, due_on=TODAY)
    late = START + timedelta(days=1)
    assert [] == list(why_not_in_use(walk.look, piece, late))
    walk.do(SetLimit(key="overdue_equipment", value=REFUSE, reason="invented"))
    assert [] == list(why_not_in_use(walk.look, piece, START.replace(hour=23, minute=59)))
    reason = "Big spinner was due for its check on 10 Mar 2025. Have it checked first, or take another."
    assert [reason] == list(why_not_in_use(walk.look, piece, late))


def test_no_spin_starts_in_a_centrifuge_that_is_out_of_use():
    walk = pure_walk()
    rotor = walk.a_rotor()
    piece = a_piece(walk, serves=rotor)
    walk.do(TakeOutOfUse(equipment=piece, reason="It shakes"))
    refused = walk.why_not(StartSpin(rotor=rotor, programme="none", bags=()))
    assert "Big spinner is out of use: It shakes. Take another." in refused
    walk.do(PutBack(equipment=piece, why="New bearing"))
    refused = walk.why_not(StartSpin(rotor=rotor, programme="none", bags=()))
    assert [] == [each for each in refused if "out of use" in each]


def test_nothing_is_put_away_in_a_fridge_that_is_out_of_use():
    walk = pure_walk()
    donation = walk.labelled("cat")
    units = walk.units(donation)
    fridge = walk.a_place("fridge")
    put = PutAway(unit=units["red-cells"], place=fridge, looks_well=True)
    assert [] == walk.why_not(put)
    piece = a_piece(walk, name="Low fridge", sort="store", serves=fridge)
    walk.do(TakeOutOfUse(equipment=piece, reason="It stands at 9 °C"))
    assert ["Low fridge is out of use: It stands at 9 °C. Take another."] == walk.why_not(put)
