"""Which kind of transfusion reaction the findings fit: a table by the published consensus definitions.

Several rows can be true at once; none is a diagnosis. Temperatures are whole tenths of a degree Celsius, so that
“more than 1.0 °C” is never decided by rounding.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

DAY_H = 24
TRACS = "TRACS 2021, part 1 (Davidow et al.)"
ISFM = "ISFM 2021, table 4 (Taylor et al.)"
CARDS = "teaching cards of the TRACS definitions"


@dataclass(frozen=True, kw_only=True)
class Findings:
    """What was seen. Hours count from the start of the transfusion; None: not measured. `fever_over_dc`: site limit."""

    hours: float
    before_dc: int | None = None
    after_dc: int | None = None
    fever_over_dc: int = 390
    fever_explained: bool = False
    haemolysis: bool = False
    allergic_signs: bool = False
    breathing: bool = False
    lungs_wet: bool = False
    overload: bool = False
    hypoxaemia: bool = False
    lungs_ill_before: bool = False
    pressure_fall_mmhg: int = 0
    pressure_explained: bool = False
    infection: bool = False
    cells_lost_early: bool = False
    new_antibody: bool = False
    platelets_fell: bool = False

    @property
    def fever(self) -> bool:
        """Over the limit, and risen by more than 1.0 °C: both, strictly."""
        if self.before_dc is None or self.after_dc is None:
            return False
        return self.after_dc > self.fever_over_dc and self.after_dc - self.before_dc > 10


@dataclass(frozen=True, kw_only=True)
class Kind:
    """`first` is what is done beside stopping; the veterinarian decides."""

    key: str
    name: str
    criteria: str
    true: Callable[[Findings], bool]
    first: str
    source: str


def _taco(seen: Findings) -> bool:
    return seen.hours <= 6 and seen.breathing and seen.lungs_wet and seen.overload


def _trali(seen: Findings) -> bool:
    acute = seen.hours <= 6 and seen.breathing and seen.lungs_wet and seen.hypoxaemia
    return acute and not seen.overload and not seen.lungs_ill_before


def _allergic(seen: Findings) -> bool:
    return seen.hours <= 4 and seen.allergic_signs


def _acute_haemolysis(seen: Findings) -> bool:
    return seen.hours <= DAY_H and seen.haemolysis


TABLE = (
    Kind(
        key="acute-haemolytic",
        name="Acute haemolytic reaction",
        criteria="signs of haemolysis during the transfusion or within 24 h",
        true=_acute_haemolysis,
        first="Compare plasma and urine before and after; repeat type and crossmatch from bag and patient.",
        source=ISFM,
    ),
    Kind(
        key="infection",
        name="Infection passed on, or a contaminated bag",
        criteria="signs of sepsis, or an infection that the product can have carried",
        true=lambda seen: seen.infection,
        first="Culture bag and patient; hold every other unit of the donor.",
        source="class listed by TRACS; no thresholds published that we saw",
    ),
    Kind(
        key="overload",
        name="Circulatory overload (TACO)",
        criteria="breathing distress with hydrostatic lung oedema within 6 h, and signs of overload or of left atrial "
        "hypertension",
        true=_taco,
        first="Oxygen; the veterinarian decides on a diuretic.",
        source=f"{CARDS}; human bodies use 6 or 12 h",
    ),
    Kind(
        key="lung-injury",
        name="Acute lung injury (TRALI)",
        criteria="hypoxaemia with lung oedema within 6 h, no overload, lungs well before",
        true=_trali,
        first="Oxygen and support; hold every other unit of the donor.",
        source="human consensus: 6 h; veterinary the same, from memory",
    ),
    Kind(
        key="allergic",
        name="Allergic reaction",
        criteria="skin or gut signs in dogs, breathing or gut signs or itch in cats, within 4 h",
        true=_allergic,
        first="Mild: the veterinarian decides whether to go on slowly. Severe: treat as anaphylaxis.",
        source=ISFM,
    ),
    Kind(
        key="dyspnoea",
        name="Dyspnoea with the transfusion (TAD)",
        criteria="breathing distress within 24 h, with overload, lung injury, allergy and lung disease ruled out",
        true=lambda seen: (
            seen.breathing
            and seen.hours <= DAY_H
            and not (_taco(seen) or _trali(seen) or _allergic(seen) or seen.lungs_ill_before)
        ),
        first="Oxygen; look for another cause.",
        source=CARDS,
    ),
    Kind(
        key="fever",
        name="Febrile non-haemolytic reaction",
        criteria="over the limit and risen by more than 1.0 °C, during or within 4 h, not explained otherwise",
        true=lambda seen: (
            seen.fever
            and seen.hours <= 4
            and not (seen.fever_explained or _acute_haemolysis(seen) or _trali(seen) or seen.infection)
        ),
        first="Slow down or stop; rule out haemolysis and contamination before it goes on.",
        source=f"{TRACS}; {ISFM}, which prints 39 °C beside 102.5 °F (39.17 °C)",
    ),
    Kind(
        key="hypotension",
        name="Hypotensive reaction",
        criteria="systolic pressure falls by 30 mmHg or more soon after the start, with no other cause",
        true=lambda seen: seen.pressure_fall_mmhg >= 30 and seen.hours <= 4 and not seen.pressure_explained,
        first="It often ends when the transfusion is stopped.",
        source="human texts; a veterinary threshold is not published that we saw",
    ),
    Kind(
        key="delayed-haemolytic",
        name="Delayed haemolytic reaction",
        criteria="cells lost sooner than they should be or haemolysis, 24 h to 28 days after",
        true=lambda seen: DAY_H < seen.hours <= 28 * DAY_H and (seen.haemolysis or seen.cells_lost_early),
        first="Repeat type and crossmatch with a fresh sample; write the antibody down.",
        source="a Canadian animal blood bank's summary of the consensus",
    ),
    Kind(
        key="delayed-serological",
        name="Delayed serological reaction",
        criteria="a new antibody without haemolysis, 24 h to 28 days after",
        true=lambda seen: (
            DAY_H < seen.hours <= 28 * DAY_H
            and seen.new_antibody
            and not (seen.haemolysis or seen.cells_lost_early)
        ),
        first="Write the antibody down: later blood must lack what it is against.",
        source=f"{CARDS}; window from memory",
    ),
    Kind(
        key="purpura",
        name="Purpura after transfusion",
        criteria="platelets fall 5 to 12 days after a product with platelets",
        true=lambda seen: 5 * DAY_H <= seen.hours <= 12 * DAY_H and seen.platelets_fell,
        first="Count platelets again; look for another cause.",
        source="a Canadian animal blood bank's summary of the consensus",
    ),
)
FIRST_OF_ALL = (
    "Stop the transfusion. Keep the vein open with saline.",
    "Look at the patient: mind, breathing, pulse, gums, temperature, pressure, urine.",
    "Compare band, request and label once more, letter by letter.",
    "Call the veterinarian. Keep the bag, the line and a segment; take a sample of blood and of urine.",
)


def kinds_that_fit(seen: Findings) -> Iterator[Kind]:
    yield from (kind for kind in TABLE if kind.true(seen))
