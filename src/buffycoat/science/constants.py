"""Every number of the science with its unit, the range it was seen in and where it comes from.

These are defaults with a reason, not rules: a site sets its own and sees the source beside the setting.
"""

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, kw_only=True)
class Constant:
    """A number that nobody should have to take on trust."""

    value: float
    unit: str
    low: float
    high: float
    source: str

    def __post_init__(self) -> None:
        if not self.low <= self.value <= self.high:
            raise ValueError(f"{self.value} {self.unit} lies outside {self.low} to {self.high}")


STANDARD_GRAVITY: Final = Constant(
    value=9.80665,
    unit="m/s²",
    low=9.80665,
    high=9.80665,
    source="Standard gravity, BIPM, The International System of Units: exact by definition.",
)
RED_CELL_DENSITY: Final = Constant(
    value=1.096,
    unit="g/mL",
    low=1.08,
    high=1.11,
    source="Balga et al., density of blood and its parts: human red cells 1.096 g/mL.",
)
PLASMA_DENSITY: Final = Constant(
    value=1.027,
    unit="g/mL",
    low=1.0205,
    high=1.0310,
    source="Balga et al., density of blood and its parts: human plasma 1.027 g/mL; the range is that of Trudnowski and "
    "Rico 1974 from 37 to 4 °C.",
)
ANTICOAGULANT_DENSITY: Final = Constant(
    value=1.026,
    unit="g/mL",
    low=1.00,
    high=1.04,
    source="Computed from the published recipe of citrate-phosphate-dextrose and handbook densities of its salts, "
    "from memory; many benches take 1.0, which is 1.6 g less in 63 mL.",
)
ADDITIVE_DENSITY: Final = Constant(
    value=1.010,
    unit="g/mL",
    low=1.00,
    high=1.03,
    source="Computed from the recipe of saline-adenine-glucose-mannitol and handbook densities of its parts, from "
    "memory; 1.02 is also quoted, 1 g more in 100 mL.",
)
BUFFY_COAT_SHARE: Final = Constant(
    value=0.01,
    unit="of the volume",
    low=0.0,
    high=0.05,
    source="Common teaching, from memory: white cells and platelets are about 1 % of blood.",
)
ROTOR_DESIGN_DENSITY: Final = Constant(
    value=1.2,
    unit="g/mL",
    low=1.2,
    high=1.2,
    source="Rotor handbooks and operator's manuals, from memory: the usual design density; each rotor has its own.",
)
DENSITY_TEMPERATURE: Final = Constant(
    value=20.0,
    unit="°C",
    low=20.0,
    high=25.0,
    source="Our convention: the temperature for which the densities of the parts are meant.",
)
BLOOD_DENSITY_PER_DEGREE: Final = Constant(
    value=-0.00032,
    unit="g/mL/°C",
    low=-0.00035,
    high=-0.00031,
    source="Trudnowski and Rico 1974: plasma 1.0310 at 4 °C and 1.0205 at 37 °C, 0.00032 a degree; blood 0.00035.",
)
WATER_DENSITY_PER_DEGREE: Final = Constant(
    value=-0.0002,
    unit="g/mL/°C",
    low=-0.0004,
    high=0.0,
    source="Tables of the density of water, from memory: 1.0000 at 4 °C and 0.9933 at 37 °C.",
)
MCHC: Final = Constant(
    value=33.3,
    unit="g/dL",
    low=30.0,
    high=37.0,
    source="Veterinary haematology texts, from memory: haemoglobin in packed cells of dogs and cats.",
)
CITRATE: Final = Constant(
    value=105.0,
    unit="mmol/L",
    low=75.0,
    high=125.0,
    source="Recipe of citrate-phosphate-dextrose, published widely: 26.3 g/L of trisodium citrate dihydrate "
    "(294.1 g/mol) and 3.27 g/L of citric acid monohydrate (210.1 g/mol).",
)
DOG_CELL_VOLUME: Final = Constant(
    value=70.0,
    unit="fL",
    low=60.0,
    high=77.0,
    source="Veterinary haematology texts, from memory: mean cell volume of dogs; cats about 45 fL.",
)
PLASMA_VISCOSITY: Final = Constant(
    value=1.7,
    unit="mPa·s",
    low=1.2,
    high=2.2,
    source="Physiology texts, from memory: plasma about 1.2 mPa·s at 37 °C and 1.7 at 22 °C.",
)
CROWDING_EXPONENT: Final = Constant(
    value=4.65,
    unit="1",
    low=2.4,
    high=5.0,
    source="Richardson and Zaki 1954, from memory: hindered settling of small spheres.",
)
