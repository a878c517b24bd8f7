"""What is printed beforehand for the hours when no page opens: blank sheets, and the morning pack."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from buffycoat.draws.bag_sets import BagSet, BagSetLotReceived
from buffycoat.draws.rules import Draw, DrawStarted, finished, target_g
from buffycoat.outage.sheets import Sheet
from buffycoat.separation.contents import predict
from buffycoat.shell.paper import code_data, moment_and_zone, pdf
from buffycoat.shell.words import clock, density, grams, millilitres, moment, permille_as_percent
from buffycoat.site.rules import Limits
from buffycoat.storage.stock import StockedUnit
from buffycoat.trace.jobs import Job

TEMPLATE = Path(__file__).parent / "typ" / "morning_pack.typ"
PCV_PERMILLE = {"dog": (350, 400, 450, 500, 550, 600), "cat": (300, 350, 400, 450, 500)}
CAUTIONS = (
    "Local rules, the maker's manuals and the veterinarian come before this sheet.",
    "The plasma to press off is an estimate: stop at once if red cells rise into the tubing.",
    "Write the time of each step. Copy the unit's number onto its bag; print its label when pages open again.",
)


def blank_sheets_pdf(
    sheets: Sequence[Sheet], lots: Sequence[BagSetLotReceived], at: datetime, site: Limits
) -> bytes:
    return pdf(TEMPLATE, _data((), (), sheets, lots, at, site, pack=False))


def morning_pack_pdf(
    units: Sequence[StockedUnit],
    jobs: Sequence[Job],
    sheets: Sequence[Sheet],
    lots: Sequence[BagSetLotReceived],
    at: datetime,
    site: Limits,
) -> bytes:
    """Stock, open jobs, then a page for each blank sheet."""
    return pdf(TEMPLATE, _data(units, jobs, sheets, lots, at, site, pack=True))


def _data(
    units: Sequence[StockedUnit],
    jobs: Sequence[Job],
    sheets: Sequence[Sheet],
    lots: Sequence[BagSetLotReceived],
    at: datetime,
    site: Limits,
    *,
    pack: bool,
) -> dict[str, Any]:
    return {
        "pack": pack,
        "site": site.text("site_name"),
        "printed": f"Printed {moment_and_zone(at, site.zone)}. May be out of date.",
        "units": [_unit(unit, site) for unit in units],
        "jobs": [_job(job, site) for job in jobs],
        "sheets": [
            {"donation": code_data(sheet.number), "units": [code_data(unit) for unit in sheet.units]}
            for sheet in sheets
        ],
        "stops": [_stops(lot, site) for lot in lots],
        "densities": ", ".join(
            f"{species} {density(site.whole(f'{species}_blood_density_mg_per_ml'))}"
            for species in ("dog", "cat")
        ),
        "longest_draw": f"{site.whole('longest_draw_min')} min",
        "cautions": CAUTIONS,
    }


def _unit(unit: StockedUnit, site: Limits) -> list[str]:
    row = unit.row
    return [
        row.unit,
        unit.product.name,
        row.species.capitalize(),
        row.blood_type,
        millilitres(row.volume_ml),
        moment(row.expires_at, site.zone),
        unit.place,
        unit.status,
    ]


def _job(job: Job, site: Limits) -> list[str]:
    due_at = job.step.due_at
    due = f"{job.step.due_words} {clock(due_at, site.zone)}" if due_at else ""
    return [
        job.donation.donation,
        job.donation.donor.name,
        job.donation.species.capitalize(),
        job.step.words,
        due,
    ]


def _stops(lot: BagSetLotReceived, site: Limits) -> dict[str, Any]:
    """How much plasma to press off a full set, by the donor's PCV, as the page would say it."""
    of = lot.bag_set
    return {
        "lot": f"{of.title}, lot {lot.maker_lot}: {millilitres(of.nominal_ml)} of {of.species} blood",
        "by_pcv": [
            [permille_as_percent(pcv), grams(plasma_g(of, pcv, site))] for pcv in PCV_PERMILLE[of.species]
        ],
    }


def plasma_g(of: BagSet, pcv_permille: int, site: Limits) -> int:
    """The plasma to press off when the set was filled with just what it is made for."""
    started = DrawStarted(
        donation="",
        donor="",
        species=of.species,
        weight_g=100_000,  # the donor is not known yet, and does not change the plasma
        pcv_permille=pcv_permille,
        lot="",
        bag_set=of,
        tare_g=0,
        wanted_ml=of.nominal_ml,
        blood_density_mg_per_ml=site.whole(f"{of.species}_blood_density_mg_per_ml"),
        target_g=target_g(of.species, of.nominal_ml, 0, site),
    )
    draw = Draw(number="", started=started, finished=finished(started, started.target_g, timedelta(), site))
    return predict(draw, site).express_g
