"""What the demo's old card index knew of each donor, and what is asked and looked at on each visit. All invented."""

from datetime import date, timedelta

from buffycoat.demo.animals import Animal
from buffycoat.demo.bench import PEOPLE, Bench
from buffycoat.donors.calendar import calls_due
from buffycoat.donors.panel import MINIMAL, Panel
from buffycoat.donors.rules import (
    CallOwner,
    DeferDonor,
    GiveConsent,
    ReadChip,
    RecordTest,
    ReportReaction,
    TypeBlood,
    Vaccinate,
)
from buffycoat.journal.book import Book
from buffycoat.site.rules import limits

VACCINATION_OVER, NEVER_TESTED = 7, (11, 23)  # by their place in the card index
CORE = {"dog": "Core vaccines of a dog (invented)", "cat": "Core vaccines of a cat (invented)"}


def old_card(bench: Bench, donor: str, animal: Animal, index: int, last_day: date) -> None:
    """A second person reads the type; then what the old card says is entered."""
    first, second = bench.by, next(name for name in PEOPLE if name != bench.by)
    bench.by = second
    again = TypeBlood(donor=donor, blood_type=animal.blood_type, method="card, second reading", reader=second)
    bench.does(again, after_min=1)
    bench.by = first
    bench.does(ReadChip(donor=donor, chip=f"999{index:012d}"))
    bench.does(GiveConsent(donor=donor))
    given_on = last_day - timedelta(days=372 if index == VACCINATION_OVER else 150 + 4 * index)
    valid_until = given_on + timedelta(days=365)
    vaccine = CORE[animal.species]
    bench.does(Vaccinate(donor=donor, vaccine=vaccine, given_on=given_on, valid_until=valid_until))
    if index not in NEVER_TESTED:
        for wanted in Panel(number="panel").wanted(animal.species, MINIMAL, 365):
            test = {"agent": wanted.agent, "method": wanted.method, "result": "negative"}
            taken_on = last_day - timedelta(days=120 + 3 * index)
            bench.does(RecordTest(donor=donor, taken_on=taken_on, laboratory="Invented laboratory", **test))


def calls_owners(bench: Bench, today: date) -> None:
    """One owner in some twenty tells of something."""
    for number, call in enumerate(calls_due(today, limits(Book()))):
        if call.due_on > today:
            continue
        row = call.row
        if number == 3:
            told = {"reaction": "bruise or bleeding", "severity": "mild", "remarks": "A bruise at the neck."}
            bench.does(ReportReaction(donor=row.donor_id, donation=row.donation, **told))
        bench.does(CallOwner(donor=row.donor_id, donation=row.donation, well=True), after_min=2)


def turns_away(bench: Bench, donor: str, animal: Animal) -> None:
    before = bench.at.date() + timedelta(days=90)
    reason = f"{animal.name} was below a limit: to be looked at again by its own veterinarian."
    bench.does(DeferDonor(donor=donor, reason=reason, no_draw_before=before))
