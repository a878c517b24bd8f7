"""What a list may hold, column by column, and which heading is probably meant by which."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

DONORS, DONATIONS, STOCK = "donors", "donations", "stock"


@dataclass(frozen=True, kw_only=True)
class Column:
    """`known_as` are headings by which it is recognised, in small letters, the surest first."""

    key: str
    title: str
    known_as: tuple[str, ...]
    hint: str = ""
    needed: bool = False


@dataclass(frozen=True, kw_only=True)
class Kind:
    """`asks` is what its cells may leave open, to be said once for the whole list."""

    key: str
    title: str
    note: str
    asks: tuple[str, ...]
    columns: tuple[Column, ...]

    @property
    def keys(self) -> tuple[str, ...]:
        return tuple(column.key for column in self.columns)

    def title_of(self, key: str) -> str:
        return next(column.title for column in self.columns if column.key == key)


def _column(key: str, title: str, known_as: str, hint: str = "", *, needed: bool = False) -> Column:
    words = tuple(each.strip() for each in known_as.split(","))
    return Column(key=key, title=title, known_as=(title.lower(), *words), hint=hint, needed=needed)


OLD_DONOR = (
    "donor number, donor no, donor nr, donor id, donorid, donor code, animal id, id, no, nr, number, nummer"
)
CHIP = "chip number, microchip, microchip number, chip no, transponder, chipnummer"
DONOR_HINT = "Its number here or before, its chip, or a name that only one donor has."
SPECIES = _column(
    "species", "Species", "animal, kind, tierart", "Leave it out if the whole list is of one species."
)
TYPE = _column("blood_type", "Blood type", "type, blood group, dea 1, dea, group, blutgruppe")
WEIGHT = _column(
    "weight",
    "Weight",
    "body weight, bodyweight, wt, bw, gewicht",
    "kg, lb or g: in the heading, or said below for the whole list.",
)
PCV = _column(
    "pcv", "PCV", "pcv before, haematocrit, hematocrit, hct, hkt, packed cell volume", "In per cent."
)
VOLUME = _column("volume", "Volume", "amount, drawn, collected, blood volume, vol, menge", "In mL.")

KINDS: Mapping[str, Kind] = {
    kind.key: kind
    for kind in (
        Kind(
            key=DONORS,
            title="Donors",
            note="each row one animal",
            asks=("date_order", "weight_unit", "species"),
            columns=(
                _column("name", "Name", "donor, donor name, animal name, pet name, patient", needed=True),
                SPECIES,
                _column("sex", "Sex", "gender, m/f, geschlecht", needed=True),
                _column(
                    "born_on",
                    "Born",
                    "date of birth, birth date, birthdate, dob, birthday, geburtsdatum, geboren",
                    needed=True,
                ),
                _column("breed", "Breed", "race, rasse"),
                _column("chip", "Chip", CHIP),
                _column(
                    "old_number",
                    "Number before",
                    OLD_DONOR,
                    "The number that the bank gave it before. By it the donor is known again.",
                ),
                TYPE,
                WEIGHT,
                PCV,
                _column(
                    "measured_on",
                    "Weighed on",
                    "last visit, weight date, date weighed, last weighed, gewogen am",
                ),
                _column("cautions", "Cautions", "caution, remarks, notes, temperament, comment, bemerkung"),
                _column(
                    "owner_name",
                    "Owner's name",
                    "owner, owner name, client, client name, besitzer, halter",
                    "Kept outside the journal, where it can be erased.",
                ),
                _column(
                    "owner_phone", "Owner's phone", "phone, telephone, mobile, phone number, tel, telefon"
                ),
                _column("owner_email", "Owner's e-mail", "email, e-mail, mail, owner email"),
            ),
        ),
        Kind(
            key=DONATIONS,
            title="Past donations",
            note="each row one draw from before this book",
            asks=("date_order", "weight_unit"),
            columns=(
                _column(
                    "donor",
                    "Donor",
                    f"{OLD_DONOR}, donor name, chip, name, spender",
                    DONOR_HINT,
                    needed=True,
                ),
                _column(
                    "gave_on",
                    "Gave on",
                    "date, donation date, collection date, drawn on, collected on, draw date, "
                    "datum, spendedatum",
                    needed=True,
                ),
                _column(
                    "old_number",
                    "Donation's number before",
                    "donation number, donation no, donation id, bag number, bag no, unit number",
                ),
                VOLUME,
                WEIGHT,
                PCV,
            ),
        ),
        Kind(
            key=STOCK,
            title="Stock",
            note="each row one bag on the shelf",
            asks=("date_order",),
            columns=(
                _column(
                    "old_number",
                    "Number on the bag",
                    "unit number, unit no, unit id, bag number, bag no, unit, number, nummer",
                    "By it the bag is found when its new label is printed.",
                    needed=True,
                ),
                _column(
                    "donor", "Donor", f"{OLD_DONOR}, donor name, chip, name, spender", DONOR_HINT, needed=True
                ),
                _column("product", "Product", "component, produkt", needed=True),
                _column(
                    "blood_type", "Blood type", "blood group, dea 1, group, type, blutgruppe", needed=True
                ),
                _column(
                    "drawn_on",
                    "Drawn on",
                    "drawn, collected, collection date, collected on, donation date, date drawn, spendedatum",
                    needed=True,
                ),
                _column(
                    "expires",
                    "Expires",
                    "expiry, expiry date, expires on, use by, expiration date, exp, verfall",
                    "As on the bag. It is never made longer.",
                    needed=True,
                ),
                _column("volume", "Volume", "vol, ml, menge", "In mL.", needed=True),
                _column("anticoagulant", "Anticoagulant", "bag type, antikoagulans"),
                _column(
                    "place",
                    "Place",
                    "location, fridge, freezer, shelf, ort",
                    "Where it stands now, in words.",
                ),
            ),
        ),
    )
}


def plain(heading: str) -> str:
    """Without what stands in brackets or is a unit: `Weight (kg)` is `weight`."""
    words = re.sub(r"[(\[].*?[)\]]", " ", heading.casefold()).replace("_", " ")
    words = re.sub(r"[^\w/' -]", " ", words)
    return " ".join(word for word in words.split() if word not in UNITS)


UNITS = {
    "kg": "kg",
    "kgs": "kg",
    "lb": "lb",
    "lbs": "lb",
    "pounds": "lb",
    "g": "g",
    "ml": "ml",
    "cc": "ml",
    "%": "%",
}


def unit_in(heading: str) -> str:
    """The unit that a heading names; empty if it names none."""
    words = re.findall(r"[a-z]+|%", heading.casefold())
    return next((UNITS[word] for word in words if word in UNITS), "")


def guess(kind: Kind, headings: Sequence[str]) -> dict[str, str]:
    """For each column the heading that says it, each heading once; exact words before words that hold them."""
    found: dict[str, str] = {}
    for fits in (
        lambda known, heading: known == heading,
        lambda known, heading: f" {known} " in f" {heading} ",
    ):
        for column in kind.columns:
            left = [each for each in headings if each not in found.values()]
            said = next(
                (each for known in column.known_as for each in left if fits(known, plain(each))), None
            )
            if said and column.key not in found:
                found[column.key] = said
    return found
