"""What is asked before and after a spin."""

from collections.abc import Sequence
from typing import Any

from django.forms import BoundField

from buffycoat.benches.weighing import ReadingField
from buffycoat.journal.book import Book
from buffycoat.shell.forms import (
    BenchForm,
    CelsiusField,
    ChoiceField,
    CodeField,
    GramsField,
    MomentField,
    WholeField,
    WordsField,
)
from buffycoat.shell.words import celsius, duration, grouped
from buffycoat.site.rules import limits
from buffycoat.spins.estimates import packed
from buffycoat.spins.models import ProgrammeRow, SpinPlaceRow
from buffycoat.spins.rules import BAG_G, LEAKED, OUTCOMES, POOR, WELL

SPECIES = [("dog", "Dog"), ("cat", "Cat")]
NOTES = {
    WELL: "Sharp line over the cells",
    POOR: "No sharp line: it is spun again",
    LEAKED: "Any wet spot: it is discarded",
}


class ProgrammeChoiceForm(BenchForm):
    """Which programme on which rotor; the value is the register's key."""

    programme = ChoiceField(label="Programme", choices=[])

    def __init__(self, *args: Any, species: str, **kwargs: Any) -> None:
        """`species` is that of the bag that waits; empty when none was scanned yet."""
        super().__init__(*args, **kwargs)
        rows = ProgrammeRow.objects.select_related("rotor")
        rows = rows.filter(species=species) if species else rows
        field = self.fields["programme"]
        assert isinstance(field, ChoiceField)
        field.choices = [(row.key, f"{row.name}, for a {row.species}") for row in rows]
        depth_mm = limits(Book()).whole("bag_depth_mm")
        field.notes = {row.key: _programme_note(row, depth_mm) for row in rows}


def _programme_note(row: ProgrammeRow, depth_mm: int) -> str:
    force = f"{grouped(row.rpm)} rpm = {grouped(row.rcf)} × g"
    percent = packed(row, depth_mm)
    estimate = f"; packs the cells to about {percent} % (estimate)" if percent else ""
    return f"{row.rotor}: {force}, {duration(row.duration_s)}, {celsius(row.temperature_c)}{estimate}"


class BagForm(BenchForm):
    donation = CodeField(label="Bag", kinds="G", noun="main bag")


class MassForm(BenchForm):
    mass_g = GramsField(label="The bag with all that hangs on it", least=BAG_G[0], most=BAG_G[1])
    reading = ReadingField()


class FillerForm(BenchForm):
    filler_g = GramsField(label="The filler", least=1, most=BAG_G[1])
    reading = ReadingField()


class StartForm(BenchForm):
    happened_at = MomentField(label="Started at", required=False)


class OutcomesForm(BenchForm):
    """One question for each bag of the spin."""

    happened_at = MomentField(label="Stopped at", required=False)

    def __init__(self, *args: Any, places: Sequence[SpinPlaceRow], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.donations: list[str] = []
        for place in places:
            if place.donation:
                self.donations.append(place.donation.donation)
                self.fields[place.donation.donation] = ChoiceField(
                    label=f"Place {place.place}: {place.donation.donor.name}, …{place.donation.donation[8:12]}",
                    choices=[(each, each.capitalize()) for each in OUTCOMES],
                    notes=NOTES,
                )

    def outcome_fields(self) -> list[BoundField]:
        return [self[donation] for donation in self.donations]


class RotorForm(BenchForm):
    name = WordsField(label="Rotor", most=60, hint="As it is marked, for example: 4 × 750.")
    centrifuge = WordsField(label="Centrifuge", most=60)
    places = WholeField(label="Places", least=2, most=12)
    radius_mm = WholeField(label="Radius to the bottom of the bucket", unit="mm", least=50, most=500)
    most_rpm = WholeField(label="Greatest speed", unit="rpm", least=100, most=10_000)
    pair_limit_g = WholeField(
        label="Opposite buckets may differ by", unit="g", most=50, hint="The maker's limit, from the manual."
    )


class ProgrammeForm(BenchForm):
    name = WordsField(label="Programme", most=40, hint="As the centrifuge shows it.")
    species = ChoiceField(label="For blood of a", choices=SPECIES)
    rpm = WholeField(label="Speed", unit="rpm", required=False, least=100, most=10_000)
    rcf = WholeField(
        label="or force", unit="× g", required=False, least=1, most=20_000, hint="Give one of the two."
    )
    minutes = WholeField(label="Time at speed", unit="min", least=1, most=60)
    temperature_c = CelsiusField(label="Temperature", least=0, most=30)
    brake = WordsField(label="Brake", most=20)
    validated = WordsField(label="Validated by whom and when", most=120)

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        if not self.errors and (values.get("rpm") is None) == (values.get("rcf") is None):
            self.add_error("rpm", "Give the speed or the force, one of the two: the other is computed.")
        return values
