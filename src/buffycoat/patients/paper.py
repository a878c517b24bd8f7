"""The card for a patient's cage or band: whoever brings blood scans it there."""

from buffycoat.patients.models import PatientRow
from buffycoat.shell.paper import Card, one_card
from buffycoat.site.rules import Limits


def patient_band(row: PatientRow, site: Limits) -> bytes:
    return one_card(
        Card(
            noun="Patient",
            title=row.name,
            code=row.patient,
            strong=row.blood_type,
            species=row.species,
            lines=tuple(filter(None, (row.sex, f"{row.weight_g / 1000:g} kg", row.where))),
            site_name=site.text("site_name"),
        )
    )
