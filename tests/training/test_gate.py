"""A site may warn or refuse a step by someone whom nobody signed for."""

import pytest

from buffycoat.cli.doing import commands
from buffycoat.cli.main import main
from buffycoat.journal.models import Entry
from buffycoat.people.may import MAY
from buffycoat.shell.guidance import TRAINED
from buffycoat.site.people_limits import OFF, REFUSE, WARN
from buffycoat.site.rules import SetLimit
from buffycoat.training.gate import STEPS_OF_PAGES, steps_of, steps_of_command
from buffycoat.training.rules import SignTraining
from tests.pages import answer, client, text, walk

__all__ = ["client", "walk"]
NOT_SIGNED = "robin is not signed for “Look for clots”."


@pytest.fixture
def look_for_clots(client, walk):
    """Does it as robin; gives the page that follows."""
    donation = walk.expressed("cat")
    address = f"/separation/{donation}/clots/"

    def done():
        sent = answer(client, address, clots="none")
        return text(client.get(sent["Location"], follow=True) if 302 == sent.status_code else sent)

    return done


def decide(walk, how):
    walk.do(SetLimit(key="training_gate", value=how, reason="invented"))


def looked() -> int:
    return Entry.objects.filter(kind="clots-looked-for").count()


def test_a_new_bank_asks_for_no_signatures(look_for_clots):
    assert NOT_SIGNED not in look_for_clots()
    assert 1 == looked()


def test_where_the_site_warns_the_step_is_recorded_and_the_page_says_so(walk, look_for_clots):
    decide(walk, WARN)
    assert NOT_SIGNED in look_for_clots()
    assert 1 == looked()


def test_where_the_site_refuses_nothing_is_recorded_before_somebody_signs(walk, look_for_clots):
    decide(walk, REFUSE)
    page = look_for_clots()
    assert NOT_SIGNED in page
    assert "a trainer signs on the page Training" in page
    assert 0 == looked()
    walk.do(SignTraining(trainee="robin", trainer="kim", step="separation-clots"))
    assert NOT_SIGNED not in look_for_clots()
    assert 1 == looked()


def test_every_step_that_is_trained_is_asked_on_a_page_of_the_program():
    asked = {step for page in MAY for step in steps_of(page)}
    assert set(TRAINED) == asked
    assert set(STEPS_OF_PAGES) <= set(MAY)


def test_at_the_terminal_a_trainer_signs_with_their_own_password(quiet_bank):
    asked = (
        "do",
        "sign-training",
        "--trainee",
        "kim",
        "--step",
        "put-away",
        "--trainer",
        "robin",
        "--by",
        "robin",
    )
    refused = quiet_bank.cli(*asked, typed="not-this\n", expect=1)
    assert "This is not the password of robin" in refused
    assert "training-signed" in quiet_bank.cli(*asked, typed=f"{quiet_bank.password}\n")


def test_every_step_that_is_trained_is_asked_of_a_command_too():
    asked = {step for command in commands() for step in steps_of_command(command)}
    assert set(TRAINED) == asked


def at_the_terminal(capsys, donation) -> tuple[int, str]:
    code = main(["do", "look-for-clots", "--donation", donation, "--clots", "false", "--by", "robin"])
    return code, capsys.readouterr().err


@pytest.mark.parametrize(("how", "code", "recorded"), [(OFF, 0, 1), (WARN, 0, 1), (REFUSE, 1, 0)])
def test_at_the_terminal_the_same_holds_as_on_the_pages(walk, capsys, how, code, recorded):
    decide(walk, how)
    ended, said = at_the_terminal(capsys, walk.expressed("cat"))
    assert (code, how != OFF, recorded) == (ended, NOT_SIGNED in said, looked())


def test_at_the_terminal_too_the_signature_opens_the_step(walk, capsys):
    decide(walk, REFUSE)
    donation = walk.expressed("cat")
    walk.do(SignTraining(trainee="robin", trainer="kim", step="separation-clots"))
    assert (0, "") == at_the_terminal(capsys, donation)
    assert 1 == looked()
