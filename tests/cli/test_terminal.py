"""The terminal: every step by its name, bad input in one sentence, and the book read, checked and struck."""

import pytest

from buffycoat.cli.doing import commands
from buffycoat.cli.main import main
from buffycoat.journal.models import Entry
from buffycoat.science.numbering import make_code
from buffycoat.separation.rules import PlasmaExpressed
from tests.walk import Walk


@pytest.fixture
def walk(db):
    return Walk()


def said(capsys, *arguments: object, expect: int = 0) -> str:
    """What the terminal shows for `buffycoat …`."""
    assert expect == main([str(each) for each in arguments])
    shown = capsys.readouterr()
    return shown.out + shown.err


def test_every_command_of_every_chapter_can_be_done(walk, capsys):
    with pytest.raises(SystemExit):
        main(["do", "--help"])
    shown = capsys.readouterr().out
    assert {"express-plasma", "start-draw", "put-away", "set-limit"} <= set(commands())
    assert [] == [name for name in commands() if name not in shown]


@pytest.mark.parametrize(
    ("name", "typed", "sentence"),
    [
        ("plasma-g", "2O5", "--plasma-g is a whole number, and “2O5” is not one."),
        ("plasma-g", "20.5", "--plasma-g is a whole number, and “20.5” is not one."),
        ("donation", "nonsense", "A code of ours has 14 letters and figures; this has 8."),
        ("donation", "DHAVN000000177", "That is a donor, not a donation."),
        ("plasma-g", "2000", "2000 g of plasma cannot come out of"),
    ],
)
def test_bad_input_gets_one_sentence_and_records_nothing(walk, capsys, name, typed, sentence):
    values = {"donation": walk.spun(), "plasma-g": "231", name: typed}
    before = Entry.objects.count()
    options = [part for key, value in values.items() for part in (f"--{key}", value)]
    shown = said(capsys, "do", "express-plasma", "--by", "robin", *options, expect=1)
    assert sentence in shown
    assert shown.endswith("Nothing was recorded.\n")
    assert before == Entry.objects.count()


@pytest.mark.parametrize(
    ("step", "options", "sentence"),
    [
        ("look-for-clots", ["--clots", "perhaps"], "--clots is true or false, and “perhaps” is neither."),
        ("start-spin", ["--bags", "G1"], "“G1” should be donation=mass_g."),
        ("register-donor", ["--born-on", "1.5.2021"], "--born-on is a day like 2026-11-25"),
    ],
)
def test_each_kind_of_value_is_read_exactly_or_refused(walk, capsys, step, options, sentence):
    needed = {
        "look-for-clots": ["--donation", walk.expressed()],
        "start-spin": ["--rotor", walk.a_rotor(), "--programme", "Hard dog"],
        "register-donor": ["--name", "Bramble", "--species", "dog", "--sex", "female"],
    }
    assert sentence in said(capsys, "do", step, "--by", "robin", *needed[step], *options, expect=1)


def test_the_same_command_id_records_once(walk, capsys):
    donation = walk.spun()
    step = ["do", "express-plasma", "--by", "robin", "--donation", donation, "--plasma-g", "231"]
    first, again = (said(capsys, *step, "--command-id", "pressed-once") for _ in range(2))
    assert first == again
    assert 1 == Entry.objects.filter(kind=PlasmaExpressed.kind).count()


def test_a_code_is_read_as_people_write_it(walk, capsys):
    donation = walk.spun()
    typed = f"{donation[:5]}-{donation[5:12]}-{donation[12:]}".lower()
    assert donation in said(
        capsys, "do", "express-plasma", "--by", "robin", "--donation", typed, "--plasma-g", "231"
    )


def test_stock_story_and_journal_tell_of_a_unit(walk, capsys):
    donation = walk.on_the_shelf()
    unit = walk.units(donation)["plasma"]
    assert "Frozen plasma" not in said(capsys, "stock")
    assert "plasma-expressed" in said(capsys, "story", unit)
    lines = said(capsys, "journal", "--stream", f"donation/{donation}").splitlines()
    assert Entry.objects.filter(stream=f"donation/{donation}").count() == len(lines)
    assert "The last two figures" in said(capsys, "story", unit[:-2] + "00", expect=1)


def test_a_mistake_is_struck_from_the_terminal_or_refused_with_what_stands_on_it(walk, capsys):
    donation = walk.separated()
    pressed = Entry.objects.get(kind=PlasmaExpressed.kind).number
    strike = ["strike", pressed, "--by", "kim", "--reason", "Misread"]
    assert "first: it stands on this one." in said(capsys, *strike, expect=1)
    last = Entry.objects.filter(stream=f"donation/{donation}").latest("number").number
    assert "entry-struck" in said(capsys, "strike", last, "--by", "kim", "--reason", "Counted wrong")
    assert "STRUCK: Counted wrong" in said(capsys, "story", donation)


def test_the_last_step_is_taken_back_and_a_whole_job_voided_from_the_terminal(walk, capsys):
    donation = walk.drawn()
    undo, void = (
        [what, donation, "--by", "kim", "--reason", "Begun for the wrong dog"] for what in ("undo", "void")
    )
    assert "entry-struck" in said(capsys, *undo)
    assert "STRUCK: Begun for the wrong dog" in said(capsys, "story", donation)
    assert 2 == said(capsys, *void).count("entry-struck")
    assert "Nothing stands here that could be taken back." in said(capsys, *undo, expect=1)
    assert "Nothing stands here that could be voided." in said(capsys, *void, expect=1)
    labelled = walk.labelled("cat")
    assert "a labelled bag is there" in said(
        capsys, "void", labelled, "--by", "kim", "--reason", "No more", expect=1
    )


@pytest.mark.parametrize("what", ["undo", "void"])
@pytest.mark.parametrize("code", ["HHAVN", "nonsense"])
def test_what_is_no_code_of_a_job_is_said_in_one_sentence(walk, capsys, what, code):
    typed = make_code("H", "HAVN", 7) if code == "HHAVN" else code
    assert 1 == len(said(capsys, what, typed, "--by", "kim", "--reason", "Slip", expect=1).splitlines())


def test_the_book_is_checked_and_the_registers_are_made_again(walk, capsys):
    walk.on_the_shelf()
    assert "The journal is whole" in said(capsys, "verify")
    assert "equal, row for row" in said(capsys, "rebuild", "--check")


def test_a_limit_that_is_a_whole_number_is_set_from_the_terminal(quiet_bank):
    said = quiet_bank.cli(
        "do",
        "set-limit",
        "--key",
        "plasma_left_percent",
        "--value",
        "12",
        "--reason",
        "tried",
        "--by",
        "robin",
    )
    assert "value 12" in said
    assert '"value":12}' in quiet_bank.cli("journal")
