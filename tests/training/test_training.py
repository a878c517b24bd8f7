"""The trainer signs for the trainee, in the real book: with a password, never for oneself, struck like any entry."""

import pytest
from django.contrib.auth import get_user_model

from buffycoat.journal.models import Entry
from buffycoat.journal.registers import rebuild, snapshot
from buffycoat.journal.strike import strike
from buffycoat.shell.guidance import GUIDANCE, TRAINED
from buffycoat.training.models import TrainingRow
from buffycoat.training.rules import MEANING, SignTraining
from tests.harness.people import PASSWORD
from tests.pages import answer, nothing_recorded, text
from tests.walk import Walk, pure_walk

pytestmark = pytest.mark.one_database

STEP = "separation-express"
SIGN = "/training/sign/"


@pytest.fixture
def trainer(client, db):
    robin = get_user_model().objects.create_user("robin", password=PASSWORD)
    get_user_model().objects.create_user("kim", password="another-invented-one")
    client.force_login(robin)
    return client


def signed(trainer, **but):
    return answer(
        trainer, SIGN, **{"trainee": "kim", "step": STEP, "remarks": "", "password": PASSWORD, **but}
    )


def test_a_signature_stands_in_the_table_with_who_and_when_and_its_meaning_in_the_book(trainer):
    page = trainer.get(signed(trainer, remarks="Three bags.")["Location"])
    assert "robin signed “Press off the plasma” for kim." in text(page)
    assert "✓ robin" in text(page)
    assert "Three bags." in text(page)
    entry = Entry.objects.get()
    assert ("person/kim", "robin") == (entry.stream, entry.by)
    assert MEANING in entry.line
    assert MEANING in text(trainer.get("/journal/"))
    assert PASSWORD not in entry.line


@pytest.mark.parametrize("password", ["", "another-invented-one", PASSWORD.upper(), f"{PASSWORD} "])
def test_without_the_trainers_own_password_nothing_is_signed(trainer, password):
    with nothing_recorded():
        page = signed(trainer, password=password)
    assert "password" in text(page)
    assert password == "" or password not in page.content.decode()


def test_nobody_signs_for_themselves(trainer):
    with nothing_recorded():
        assert "choose one of those shown" in text(signed(trainer, trainee="robin"))
    for trainee in ("robin", " Robin "):
        reasons = pure_walk().why_not(SignTraining(trainee=trainee, step=STEP, trainer="robin"))
        assert ["Nobody signs for themselves: another trained person must have watched."] == reasons


@pytest.mark.parametrize(
    ("but", "words"),
    [
        ({"step": "juggling"}, "There is no step called juggling"),
        ({"trainee": " "}, "Say who was trained and who signs."),
        ({"trainer": ""}, "Say who was trained and who signs."),
        ({"trainee": "k" * 51}, "has at most 50 letters"),
    ],
)
def test_what_cannot_be_signed_is_said(but, words):
    reasons = pure_walk().why_not(SignTraining(**{"trainee": "kim", "step": STEP, "trainer": "robin", **but}))
    assert words in " ".join(reasons)


def test_a_step_is_signed_once_and_again_after_the_signature_was_struck(db):
    walk, sign = Walk(), SignTraining(trainee="kim", step=STEP, trainer="robin")
    walk.do(sign)
    assert "robin has signed “Press off the plasma” for kim already" in walk.why_not(sign)[0]
    assert [] == walk.why_not(SignTraining(trainee="kim", step="put-away", trainer="robin"))
    strike(Entry.objects.get().number, reason="It was lee.", by="robin")
    assert 0 == TrainingRow.objects.count()
    walk.do(sign)
    assert 1 == TrainingRow.objects.count()


def test_the_register_is_what_the_book_says(db):
    walk = Walk()
    for step in TRAINED:
        walk.do(SignTraining(trainee="kim", step=step, trainer="robin"))
    before = snapshot()
    rebuild()
    assert before == snapshot()
    assert len(TRAINED) == TrainingRow.objects.count()


def test_a_person_with_a_name_as_long_as_a_code_has_no_story_of_a_code(client, trainer):
    get_user_model().objects.create_user("fourteenletter")
    signed(trainer, trainee="fourteenletter")
    assert 200 == client.get("/journal/").status_code


def test_every_step_that_is_trained_has_its_guidance():
    assert {} != TRAINED
    assert set(GUIDANCE) >= set(TRAINED)
