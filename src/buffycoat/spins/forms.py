"""What is asked before and after a spin."""

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
from buffycoat.spins.models import ProgrammeRow
from buffycoat.spins.rules import BAG_G, LEAKED, OUTCOMES, POOR, WELL

SPECIES = [("dog", "Dog"), ("cat", "Cat")]
NOTES = {
    WELL: "A sharp line between plasma and cells",
    POOR: "No sharp line, or stirred up: it is spun again",
    LEAKED: "Any wet spot on bag, tubing or bucket: it is discarded",
}


class ProgrammeChoiceForm(BenchForm):
    """Which programme on which rotor; the value is the register's key."""

    programme = ChoiceField(label="Programme", choices=[])

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        rows = ProgrammeRow.objects.select_related("rotor")
        self.fields["programme"].choices = [(row.key, f"{row.name}, for a {row.species}") for row in rows]
        self.fields["programme"].notes = {
            row.key: f"{row.rotor}: {row.rpm} rpm = {row.rcf} × g, {row.duration_s // 60} min, {row.temperature_c} °C"
            for row in rows
        }


class BagForm(BenchForm):
    donation = CodeField(label="Bag", kinds="G")


class MassForm(BenchForm):
    mass_g = GramsField(label="The bag with all that hangs on it", least=BAG_G[0], most=BAG_G[1])


class StartForm(BenchForm):
    happened_at = MomentField(label="Started at", required=False)


class OutcomesForm(BenchForm):
    """One question for each bag of the spin."""

    happened_at = MomentField(label="Stopped at", required=False)

    def __init__(self, *args, places, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.donations = [place.donation_id for place in places if place.donation_id]
        for place in places:
            if place.donation_id:
                self.fields[place.donation_id] = ChoiceField(
                    label=f"Place {place.place}: {place.donation.donor.name}",
                    choices=[(each, each.capitalize()) for each in OUTCOMES],
                    notes=NOTES,
                )

    def outcome_fields(self):
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
    rcf = WholeField(label="or force", unit="× g", required=False, least=1, most=20_000, hint="Give one of the two.")
    minutes = WholeField(label="Time at speed", unit="min", least=1, most=60)
    temperature_c = CelsiusField(label="Temperature", least=0, most=30)
    brake = WordsField(label="Brake", most=20)
    validated = WordsField(label="Validated by whom and when", most=120)

    def clean(self):
        values = super().clean()
        if not self.errors and (values.get("rpm") is None) == (values.get("rcf") is None):
            self.add_error("rpm", "Give the speed or the force, one of the two: the other is computed.")
        return values
