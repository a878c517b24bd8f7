"""Every calculator, in groups. All doors are made from this list: the pages, `buffycoat calc` and docs/science."""

from dataclasses import dataclass
from types import ModuleType

from buffycoat.calculator import bench, desk
from buffycoat.calculator.calculator import Calculator
from buffycoat.science import (
    balance,
    centrifuge,
    changes_of_state,
    composition,
    control_charts,
    densities,
    dosing,
    finding,
    haemolysis,
    numbering,
    reconcile,
    run_rules,
    sampling,
    settling,
    shelf_life,
    warmth,
    weighing,
)


@dataclass(frozen=True, kw_only=True)
class Group:
    """`caution` is shown where a number of this group could hurt someone."""

    key: str
    title: str
    modules: tuple[ModuleType, ...]
    calculators: tuple[Calculator, ...]
    caution: str = ""


GROUPS = (
    Group(
        key="centrifuge",
        title="Centrifuge",
        modules=(centrifuge, settling),
        calculators=bench.CENTRIFUGE,
        caution="The maker's manual of the rotor decides on speed and load. Validate a programme on its own machine.",
    ),
    Group(
        key="balance",
        title="Balance",
        modules=(balance,),
        calculators=bench.BALANCE,
        caution="The maker's manual of the rotor decides on limits, bucket types and what may stand opposite what.",
    ),
    Group(
        key="composition",
        title="Composition",
        modules=(composition, densities),
        calculators=bench.COMPOSITION,
    ),
    Group(
        key="shelf-life",
        title="Shelf life",
        modules=(shelf_life, changes_of_state),
        calculators=bench.SHELF_LIFE,
        caution="How long a product keeps is the site's own limit, under local rules. This only counts the days.",
    ),
    Group(
        key="weighing",
        title="Weighing and reconciliation",
        modules=(weighing, reconcile),
        calculators=bench.WEIGHING,
        caution="The licensed veterinarian decides how much an animal gives.",
    ),
    Group(
        key="dose",
        title="Dose and giving",
        modules=(dosing,),
        calculators=desk.DOSE,
        caution="The licensed veterinarian prescribes and watches the patient. A formula is no prescription.",
    ),
    Group(
        key="quality",
        title="Quality",
        modules=(haemolysis, control_charts, run_rules, sampling),
        calculators=desk.QUALITY,
    ),
    Group(
        key="temperature",
        title="Temperature",
        modules=(warmth,),
        calculators=desk.TEMPERATURE,
        caution="No mean temperature releases blood that was too warm: the site's own rule for excursions does.",
    ),
    Group(key="finding", title="Finding blood", modules=(finding,), calculators=desk.FINDING),
    Group(key="numbering", title="Numbering", modules=(numbering,), calculators=bench.NUMBERING),
)
CALCULATORS = {each.name: each for group in GROUPS for each in group.calculators}
LEFT_OUT = {
    "number_to_test": "a part of `search`",
    "reconcile": "takes balances as a function; `reconcile_donation` has them, `reconcile_weights` takes them as words",
    "sums": "makes balances for `reconcile`",
    "say_misfit": "words a result of `reconcile_donation`, which shows them",
    "zone": "a part of `alarms`",
    "step": "a part of `alarms`",
}


def group_of(calculator: Calculator) -> Group:
    return next(group for group in GROUPS if calculator in group.calculators)
