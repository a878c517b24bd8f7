"""The slip that goes with the bag to the patient."""

from buffycoat.issuing.models import IssueRow
from buffycoat.patients.models import PatientRow
from buffycoat.shell.paper import Card, one_card
from buffycoat.shell.words import millilitres, moment
from buffycoat.site.rules import Limits


def issue_slip(row: IssueRow, patient: PatientRow, site: Limits) -> bytes:
    unit = row.unit
    lines = [
        f"for {patient.name}, {patient.blood_type}",
        f"{unit.product_name}, {millilitres(unit.volume_ml)}",
        f"good until {moment(unit.expires_at, site.zone)}",
        f"given out {moment(row.issued_at, site.zone)}, {row.issued_by}",
        f"EMERGENCY: {row.emergency} ({row.released_by})"
        if row.emergency
        else f"crossmatch: {row.crossmatch}",
    ]
    return one_card(
        Card(
            noun="Given out",
            title=patient.name,
            code=unit.unit,
            strong=unit.blood_type,
            species=patient.species,
            lines=tuple(lines),
            site_name=site.text("site_name"),
        )
    )
