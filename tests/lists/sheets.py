"""Lists as banks keep them, each of another shape. Every animal, person and number in them is invented."""

import io
from collections.abc import Sequence
from datetime import date, datetime

import openpyxl

from buffycoat.lists.columns import KINDS, guess
from buffycoat.lists.deciding import Told
from buffycoat.lists.rows import Choices
from buffycoat.lists.sheet import read_sheet

# Commas, UTF-8, days by the year first, one column that nothing here asks for.
PLAIN = """\
Donor ID,Name,Species,Sex,Date of birth,Breed,Microchip,Blood type,Weight (kg),PCV,Owner,Phone,E-mail,Coat
D-17,Bramble,Dog,F,2021-05-01,Lurcher,900000000000123,DEA 1 negative,28.4,45,R. Example,+00 1234 567,r@example.org,black
D-18,Quill,canine,Male neutered,2020-11-30,,900000000000124,DEA 1.1 pos,33,48.5,K. Example,,,tan
C-03,Sorrel,cat,m,12 Feb 2022,,,A,5.2,38,,,,red
"""
# A title, semicolons, an old code page, decimal commas, points in days, other words.
CONTINENTAL = """\
Spenderliste der erfundenen Blutbank;;;;;;
;;;;;;
Nr;Name;Tierart;Geschlecht;Geburtsdatum;Gewicht;Blutgruppe
101;Bärbel;Hund;weiblich;13.05.2021;"28,4 kg";DEA 1 -
102;Strolch;Hund;m;14.06.2019;"31,0 kg";+
103;Mieze;Katze;w;21.02.2022;"5,1 kg";B
"""
# A workbook: pounds, days as days and as text, chips as numbers, an empty row, a formula, errors.
WORKBOOK: Sequence[Sequence[object]] = (
    ("Invented donors", None, None, None, None, None, None),
    ("Animal name", "Canine/Feline", "Sex", "DOB", "Weight lbs", "Chip no", "Last visit"),
    (
        "Juniper",
        "Canine",
        "FS",
        date(2021, 3, 4),
        66.5,
        900000000000201,
        datetime.fromisoformat("2024-01-05 00:00"),
    ),
    (None, None, None, None, None, None, None),
    ("Thistle", "Canine", "MN", "07/25/2020", 71, "900000000000202", "01/20/2024"),
    ("Fennel", "Feline", "FS", "03/04/2022", 11, None, None),
    ("Ghost", "Canine", "?", "30/02/2021", "=5*14", "123", "#REF!"),
)


def workbook(rows: Sequence[Sequence[object]] = WORKBOOK) -> bytes:
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    kept = io.BytesIO()
    book.save(kept)
    return kept.getvalue()


def told(
    content: bytes | str, kind: str = "donors", *, columns: dict[str, str] | None = None, **said: str
) -> Told:
    """A list with its columns guessed, or said where the guess is to be another."""
    sheet = read_sheet(content.encode() if isinstance(content, str) else content)
    chosen = guess(KINDS[kind], sheet.headings) | (columns or {})
    choices = Choices(columns=chosen, **said)
    return Told(kind=KINDS[kind], sheet=sheet, choices=choices, source="invented.csv")
