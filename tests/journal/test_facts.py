"""Facts are frozen data with a name for ever; states are folded from them and from nothing else."""

from dataclasses import FrozenInstanceError, dataclass

import pytest

from buffycoat.donors.rules import BloodTyped, Donor, DonorExamined, DonorRegistered
from buffycoat.journal.chain import START, canonical, seal
from buffycoat.journal.facts import KINDS, Fact, Refused, fact_from, fields_of
from buffycoat.labels.rules import LabelScannedBack
from buffycoat.separation.weighings import ProductWeighed
from tests.walk import pure_walk

TYPED = BloodTyped(blood_type="AB", method="card")


def test_a_fact_is_never_changed():
    with pytest.raises(FrozenInstanceError):
        TYPED.blood_type = "A"


def test_two_facts_never_have_the_same_kind():
    with pytest.raises(TypeError, match="two facts of the kind blood-typed"):

        @dataclass(frozen=True, kw_only=True)
        class Again(Fact, kind="blood-typed"):
            pass

    assert BloodTyped is KINDS["blood-typed"]


def test_a_fact_is_written_as_plain_values_and_read_back():
    assert TYPED == fact_from("blood-typed", 1, fields_of(TYPED))
    assert {"blood_type": "AB", "method": "card"} == fields_of(TYPED)


@pytest.mark.parametrize(("kind", "schema"), [("blood-typed", 2), ("blood-tasted", 1)])
def test_what_this_release_cannot_read_is_an_error_and_never_skipped(kind, schema):
    with pytest.raises(ValueError, match=f"this release cannot read {kind} of schema {schema}"):
        fact_from(kind, schema, fields_of(TYPED))


def test_a_state_is_the_same_whoever_folds_it():
    walk = pure_walk()
    donor = walk.a_donor()
    lines = list(walk.look.standing(f"donor/{donor}"))
    assert Donor.fold(donor, lines) == Donor.fold(donor, tuple(lines)) == walk.look(Donor, donor)
    assert Donor(number=donor) == Donor.fold(donor, [])


def test_a_fact_stands_on_the_kinds_it_builds_on():
    registered = DonorRegistered.__new__(DonorRegistered)
    assert TYPED.stands_on(registered)
    assert not TYPED.stands_on(TYPED)
    assert not registered.stands_on(TYPED)
    assert not TYPED.stands_on(DonorExamined(weight_g=1, pcv_permille=1, cautions=""))


def test_facts_of_different_parts_do_not_stand_on_each_other():
    walk = pure_walk()
    walk.labelled()
    facts = [line.fact for line in walk.look.lines]
    printed = {fact.part: fact for fact in facts if fact.kind == "label-printed"}
    weighed = {fact.part: fact for fact in facts if isinstance(fact, ProductWeighed)}
    back = {fact.part: fact for fact in facts if isinstance(fact, LabelScannedBack)}
    assert back["plasma"].stands_on(printed["plasma"])
    assert not back["plasma"].stands_on(printed["red-cells"])
    assert not printed["red-cells"].stands_on(weighed["plasma"])


def test_a_refusal_carries_every_reason():
    refused = Refused("One.", "Two.")
    assert (("One.", "Two."), "One. Two.") == (refused.reasons, str(refused))


def test_the_same_values_always_give_the_same_line():
    assert (
        '{"a":[1,"ü"],"b":null}'
        == canonical({"b": None, "a": [1, "ü"]})
        == canonical({"a": [1, "ü"], "b": None})
    )
    with pytest.raises(ValueError, match="JSON"):
        canonical({"a": float("nan")})


def test_a_seal_is_the_plain_sha256_of_the_hash_before_and_the_line():
    """`printf '%064d{}' 0 | sha256sum`, computed outside."""
    assert "5508d2b710e64bc470079e1b211d9c58e21011e59d0559e422345dc19d659a75" == seal(START, "{}")
