"""What a unit would do to a patient's PCV, from what the unit really holds."""

from dataclasses import dataclass

from buffycoat.issuing.models import RequestRow
from buffycoat.labels.models import UnitRow
from buffycoat.matching.compatibility import PLASMA
from buffycoat.science.dosing import pcv_forecast

# mL of blood a kg: dogs 90; cats 60 to 66 (vetprep 2021; a clinical brief). The interval spans them.
ML_PER_KG = {"dog": (80, 90), "cat": (60, 66)}


@dataclass(frozen=True, kw_only=True)
class Outlook:
    low_percent: float
    high_percent: float


def outlook(request: RequestRow, unit: UnitRow) -> Outlook | None:
    """None where no PCV was told, or it is not known how many cells the unit holds."""
    if request.pcv_permille is None or request.kind_wanted == PLASMA or not unit.haematocrit_permille:
        return None
    found = pcv_forecast(
        request.patient.weight_g / 1000,
        ML_PER_KG[request.patient.species],
        request.pcv_permille / 10,
        unit.volume_ml * unit.haematocrit_permille / 1000,
        unit.volume_ml,
    )
    return Outlook(low_percent=found.low, high_percent=found.high)
