"""`buffycoat calc` in a terminal."""

import subprocess
import sys
from xml.etree import ElementTree

import pytest

from buffycoat.calculator.catalogue import CALCULATORS, GROUPS
from buffycoat.cli.main import main


def run(capsys, *arguments, expect=0):
    assert expect == main(["calc", *arguments])
    return capsys.readouterr()


def test_the_help_lists_all_calculators_in_groups(capsys):
    said = run(capsys, "--help").out
    assert sorted(said.index(f"\n{group.title}\n") for group in GROUPS) == [
        said.index(f"\n{group.title}\n") for group in GROUPS
    ]
    assert all(f"  {name} " in said and each.title in said for name, each in CALCULATORS.items())


def test_a_result_comes_with_its_unit_range_source_and_caution(capsys):
    lines = run(capsys, "rcf", "--rpm", "4200", "--radius-mm", "250").out.splitlines()
    assert "Field: 4931.5 × g" == lines[0]
    assert ["Range", "Source", "Caution"] == [line.partition(":")[0] for line in lines[1:]]


def test_what_cannot_be_read_is_said_at_once_on_the_side_of_errors(capsys):
    said = run(capsys, "rcf", "--rpm", "4,200", "--radius-mm", "25x", expect=1)
    assert "" == said.out
    assert 2 == len(said.err.splitlines())


def test_what_is_out_of_range_is_refused_with_the_reason(capsys):
    said = run(capsys, "rcf", "--rpm", "4200", "--radius-mm", "0", expect=1)
    assert "The radius must be more than 0 and at most 1000 mm; 0 mm is not.\n" == said.err


def test_an_unknown_calculator_leads_to_the_list(capsys):
    assert "`buffycoat calc --help` lists all." in run(capsys, "nonsense", expect=2).err


def test_cold_temperatures_can_be_typed(capsys):
    said = run(capsys, "mean-kinetic", "--temperatures-c", "-20", "-30").out
    assert said.startswith("Mean kinetic temperature: −")


def test_bags_are_typed_each_with_its_mass(capsys):
    said = run(capsys, "load-rotor", "--loads", "A=610", "B=600", "--places", "4", "--pair-limit-g", "2").out
    assert "Place 3: B, 8 g of filler" in said


def test_a_picture_is_written_as_a_file_that_stands_alone(capsys, tmp_path):
    file = tmp_path / "rotor.svg"
    given = ["--loads", "A=610", "B=600", "--places", "4", "--pair-limit-g", "2", "--picture", str(file)]
    run(capsys, "load-rotor", *given)
    drawing = ElementTree.parse(file).getroot()
    assert "{http://www.w3.org/2000/svg}svg" == drawing.tag
    assert "--ink" in (drawing[0].text or "")


def test_where_there_is_no_picture_that_is_said_and_no_file_is_written(capsys, tmp_path):
    file = tmp_path / "none.svg"
    said = run(capsys, "rcf", "--rpm", "1", "--radius-mm", "1", "--picture", str(file), expect=1)
    assert "There is no picture of rcf.\n" == said.err
    assert not file.exists()


def test_a_rotor_is_not_drawn_where_a_mass_is_finer_than_the_drawing(capsys, tmp_path):
    file = tmp_path / "rotor.svg"
    given = ["--loads", "A=610.5", "B=600", "--places", "4", "--pair-limit-g", "2", "--picture", str(file)]
    assert "There is no picture of these values.\n" == run(capsys, "load-rotor", *given, expect=1).err


@pytest.mark.parametrize("name", CALCULATORS)
def test_each_has_a_help_with_every_input(capsys, name):
    with pytest.raises(SystemExit) as done:
        main(["calc", name, "--help"])
    assert 0 == done.value.code
    said = capsys.readouterr().out
    assert all(f"--{each.name.replace('_', '-')}" in said for each in CALCULATORS[name].inputs)


def test_a_calculator_answers_without_django_and_without_a_bank(tmp_path):
    asks = (
        "import sys; from buffycoat.cli.main import main; "
        "main(['calc', 'rcf', '--rpm', '4200', '--radius-mm', '250']); "
        "print('django' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", asks],
        capture_output=True,
        text=True,
        env={"BUFFYCOAT_DATA": str(tmp_path / "none")},
    )
    assert "False" == done.stdout.splitlines()[-1]
    assert not (tmp_path / "none").exists()


def test_per_cent_and_names_are_told_plainly(capsys):
    with pytest.raises(SystemExit):
        main(["calc", "pcv-forecast", "--help"])
    assert "--pcv-now % " in capsys.readouterr().out
    assert 0 == main(["calc", "rpm", "--rcf", "5000", "--radius-mm", "254"])
    assert "Range: exact; the inverse of rcf_from_rpm." in capsys.readouterr().out
