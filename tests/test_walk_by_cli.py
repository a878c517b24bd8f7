"""From the donor to the shelf by the command line alone, for a dog and for a cat."""

import re
from datetime import UTC, datetime, timedelta

import pytest

from tests.harness.server import Bank

pytestmark = pytest.mark.one_database

START = datetime.now(UTC) - timedelta(hours=6)


class Terminal:
    """Records steps one after the other, a few minutes apart."""

    def __init__(self, bank: Bank) -> None:
        self.bank, self.minutes = bank, 0

    def do(self, step: str, expect: int = 0, minutes: int = 2, **options: object) -> str:
        self.minutes += minutes
        at = (START + timedelta(minutes=self.minutes)).isoformat()
        arguments: list[object] = ["do", step, "--by", "robin", "--at", at]
        for name, value in options.items():
            arguments += [f"--{name.replace('_', '-')}", *(value if isinstance(value, list) else [value])]
        return self.bank.cli(*arguments, expect=expect)

    def code(self, kind: str, step: str, **options: object) -> str:
        """The code of that kind that the step made."""
        found = re.search(rf"\b{kind}[A-Z]{{4}}\d{{9}}\b", self.do(step, **options))
        assert found, f"{step} named no code"
        return found[0]


def test_a_dog_and_a_cat_walk_from_the_donor_to_the_shelf(quiet_bank: Bank) -> None:
    terminal = Terminal(quiet_bank)
    fridge = terminal.code("P", "open-place", name="Fridge 1", appliance="fridge")
    freezer = terminal.code("P", "open-place", name="Freezer 1", appliance="freezer")
    rotor = terminal.code(
        "T",
        "register-rotor",
        name="4 × 750",
        centrifuge="C1",
        places=4,
        radius_mm=250,
        most_rpm=4200,
        pair_limit_g=2,
    )
    for species, rpm in (("dog", 4200), ("cat", 3600)):
        terminal.do(
            "write-programme",
            rotor=rotor,
            name=f"Hard {species}",
            species=species,
            rpm=rpm,
            duration_s=600,
            temperature_c=4,
            brake=2,
            validated="invented",
        )
    dog = _walk(
        terminal,
        rotor,
        species="dog",
        weight_g=32_000,
        blood_type="DEA 1 negative",
        nominal=450,
        additive=100,
    )
    cat = _walk(terminal, rotor, species="cat", weight_g=5_200, blood_type="A", nominal=50, additive=0)
    for plasma, cells in (dog, cat):
        refused = terminal.do("put-away", unit=plasma, place=fridge, looks_well="true", expect=1)
        assert "belongs in a freezer" in refused
        terminal.do("put-away", unit=plasma, place=freezer, looks_well="true")
        terminal.do("put-away", unit=cells, place=fridge, looks_well="true")

    stock = quiet_bank.cli("stock")
    assert ["Red cells", "Red cells in additive", "Fresh frozen plasma", "Fresh frozen plasma"] == [
        line.split("  ")[1].strip() for line in stock.splitlines()
    ]
    assert "is whole" in quiet_bank.cli("verify")
    assert "equal, row for row" in quiet_bank.cli("rebuild", "--check")
    assert "plasma-expressed" in quiet_bank.cli("story", dog[0])


def _walk(
    terminal: Terminal,
    rotor: str,
    *,
    species: str,
    weight_g: int,
    blood_type: str,
    nominal: int,
    additive: int,
) -> tuple[str, str]:
    """Gives the codes of the plasma and of the red cells, labelled."""
    donor = terminal.code(
        "D", "register-donor", name="Bramble", species=species, sex="female", born_on="2021-05-01"
    )
    terminal.do("type-blood", donor=donor, blood_type=blood_type)
    terminal.do("examine-donor", donor=donor, weight_g=weight_g, pcv_permille=430)
    lot = terminal.code(
        "L",
        "receive-bag-set-lot",
        maker_lot=f"{species}-1",
        expires_on="2099-01-31",
        title=f"Set for a {species}",
        species=species,
        nominal_ml=nominal,
        anticoagulant="CPDA-1",
        anticoagulant_ml=nominal * 14 // 100,
        main_bag_empty_g=30,
        plasma_bag_empty_g=20,
        **({"additive": "AS", "additive_ml": additive} if additive else {}),
    )
    donation = terminal.code("G", "start-draw", donor=donor, lot=lot, tare_g=250, wanted_ml=nominal)
    blood_g = round(nominal * 1.053)
    terminal.do("finish-draw", donation=donation, gross_g=250 + blood_g, minutes=8)
    spin = terminal.code(
        "R", "start-spin", rotor=rotor, programme=f"Hard {species}", bags=[f"{donation}=400"]
    )
    terminal.do("finish-spin", spin=spin, outcomes=[f"{donation}=well separated"], minutes=12)
    plasma_g = nominal // 2
    refused = terminal.do("express-plasma", donation=donation, plasma_g=nominal * 2, expect=1)
    assert "cannot come out of" in refused
    terminal.do("express-plasma", donation=donation, plasma_g=plasma_g)
    if additive:
        terminal.do("add-additive", donation=donation, additive_ml=additive)
    terminal.do("look-for-clots", donation=donation, clots="false")
    terminal.do("seal-segments", donation=donation, segments=4)
    anticoagulant_g = nominal * 14 // 100 * 1.02
    cells_g = round(blood_g + anticoagulant_g - plasma_g + additive * 1.02)
    terminal.do("weigh-product", donation=donation, part="plasma", gross_g=plasma_g + 20)
    terminal.do("weigh-product", donation=donation, part="red-cells", gross_g=cells_g + 30)
    units = []
    for part in ("plasma", "red-cells"):
        units.append(terminal.code("U", "print-label", donation=donation, part=part))
        terminal.do("scan-label-back", donation=donation, unit=units[-1])
    return units[0], units[1]
