"""Lists from a terminal: brought in, looked at first, and taken away."""

import csv

import openpyxl
import pytest

from buffycoat.cli.main import main
from buffycoat.donors.models import DonorRow
from buffycoat.lists.deciding import bring_in
from buffycoat.people.models import OwnerContact
from tests.lists.sheets import CONTINENTAL, PLAIN, told
from tests.pages import nothing_recorded

pytestmark = pytest.mark.django_db


@pytest.fixture
def said(capsys):
    def run(*arguments, expect=0):
        assert expect == main([str(each) for each in arguments])
        shown = capsys.readouterr()
        return shown.out + shown.err

    return run


@pytest.fixture
def a_file(tmp_path):
    file = tmp_path / "donors.csv"
    file.write_text(PLAIN + "D-20,Odd,fish,F,2021-05-01,,,,,,,,,\n")
    return file


def test_a_preview_says_every_row_and_changes_nothing(said, a_file):
    with nothing_recorded():
        shown = said("bring-in", a_file, "--as", "donors", "--preview", "--by", "robin", expect=1)
    assert "Number before: Donor ID" in shown
    assert "Row 5, Odd, refused: Species: “fish”: write dog or cat." in shown
    assert "To be brought in: 3. Refused: 1. Already here: 0." in shown


def test_rows_come_in_and_refused_ones_are_written_to_a_file(said, a_file, tmp_path):
    refused = tmp_path / "refused.csv"
    shown = said("bring-in", a_file, "--as", "donors", "--refused", refused, "--by", "robin", expect=1)
    assert "Brought in: 3. Refused: 1. Already here: 0." in shown
    assert 3 == DonorRow.objects.count()
    [_, row] = csv.reader(refused.read_text(encoding="utf-8-sig").splitlines())
    assert ["5", "Species: “fish”: write dog or cat.", "D-20"] == row[:3]
    again = said("bring-in", a_file, "--as", "donors", "--by", "robin", expect=1)
    assert "Brought in: 0. Refused: 1. Already here: 3." in again


def test_columns_and_what_the_list_leaves_open_are_said(said, tmp_path):
    file = tmp_path / "liste.csv"
    file.write_bytes(CONTINENTAL.replace("Name;", "Rufname;").replace(" kg", "").encode("cp1252"))
    shown = said("bring-in", file, "--as", "donors", "--by", "robin", expect=1)
    assert "Name: not in the list (name=)" in shown
    maps = ("--map", "name=Rufname", "blood_type=", "--weights", "kg", "--date-order", "day")
    shown = said("bring-in", file, "--as", "donors", *maps, "--by", "robin")
    assert "Brought in: 3. Refused: 0. Already here: 0." in shown
    assert {"type not known"} == set(DonorRow.objects.values_list("blood_type", flat=True))


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--map", "colour=Coat"), "“colour=Coat” should be a column and its heading"),
        (("--map", "name=Nowhere"), "No heading is “Nowhere”; there are: Donor ID, Name"),
    ],
)
def test_a_wrong_heading_is_said(said, a_file, arguments, words):
    with nothing_recorded():
        assert words in said("bring-in", a_file, "--as", "donors", *arguments, "--by", "robin", expect=1)


def test_a_file_that_is_not_there_or_no_list_is_said(said, tmp_path):
    assert "No such file" in said(
        "bring-in", tmp_path / "none.csv", "--as", "donors", "--by", "robin", expect=1
    )
    picture = tmp_path / "picture.csv"
    picture.write_bytes(b"\x89PNG" + bytes(20))
    assert "neither a workbook nor text" in said(
        "bring-in", picture, "--as", "stock", "--by", "robin", expect=1
    )


def test_a_list_is_written_with_and_without_owners(said, tmp_path):
    bring_in(told(PLAIN), by="robin")
    assert OwnerContact.objects.exists()
    plain, whole = tmp_path / "donors.csv", tmp_path / "donors.xlsx"
    said("list", "donors", "--to", plain)
    said("list", "donors", "--owners", "--to", whole)
    assert "Bramble" in plain.read_text(encoding="utf-8-sig")
    assert "example.org" not in plain.read_text(encoding="utf-8-sig")
    cells = [cell.value for row in openpyxl.load_workbook(whole).active for cell in row]
    assert "r@example.org" in cells
    assert ".csv or .xlsx" in said("list", "donors", "--to", tmp_path / "donors.doc", expect=1)
