"""Rotors at the ends of their ranges, in numbers written as words, and balanced to the milligram."""

import math
from collections.abc import Callable

import pytest

from buffycoat.science import balance as balancing
from buffycoat.science.balance import Load, balance, can_balance, residual_g, residual_vector_g
from buffycoat.science.errors import OutOfRange


def bags(*masses_g: float) -> list[Load]:
    return [Load(label=f"bag {number}", mass_g=mass) for number, mass in enumerate(masses_g, start=1)]


@pytest.mark.parametrize(
    ("of", "end", "beyond", "words"),
    [
        (lambda x: balance(bags(600, 600), int(x), pair_limit_g=1), 48, 50, "number of places must be"),
        (lambda x: balance(bags(600, 600), int(x), pair_limit_g=1), 2, 0, "number of places must be"),
        (lambda x: balance(bags(600, 600), 2, pair_limit_g=x), 0, -0.1, "limit for opposite places must be"),
        (lambda x: balance(bags(600, 600), 2, pair_limit_g=x), 1_000, 1_000.1, "limit for opposite places must be"),
        (lambda x: balance(bags(9, 9), 2, pair_limit_g=1, filler_step_g=x), 0.001, 0.00095, "piece of filler must be"),
        (lambda x: balance(bags(9, 9), 2, pair_limit_g=1, filler_step_g=x), 100, 100.1, "piece of filler must be"),
        (lambda x: balance(bags(9, 9), 2, pair_limit_g=1, bags_per_place=int(x)), 1, 0, "number of bags in a place"),
        (lambda x: balance(bags(9, 9), 2, pair_limit_g=1, bags_per_place=int(x)), 12, 13, "number of bags in a place"),
        (lambda x: balance(bags(9, 9), 2, pair_limit_g=1, vector_limit_g=x), 0, -0.1, "limit for the vector sum must"),
        (lambda x: balance(bags(9, 9), 2, pair_limit_g=1, vector_limit_g=x), 1e4, 10_000.1, "limit for the vector sum"),
        (lambda x: balance(bags(9, 9), 2, pair_limit_g=1, buckets_g=[x, x]), 0, -0.1, "mass of an empty bucket must"),
        (lambda x: balance(bags(9, 9), 2, pair_limit_g=1, buckets_g=[x, x]), 2e4, 20_000.1, "mass of an empty bucket"),
        (lambda x: residual_g([x, 1]), 0, -0.1, "mass in a place must be"),
        (lambda x: residual_g([1.0] * int(x)), 48, 49, "number of places must be"),
        (lambda x: residual_g([1.0] * int(x)), 2, 1, "number of places must be"),
        (lambda x: can_balance(6, int(x)), 0, -1, "number of loads must be"),
        (lambda x: can_balance(int(x), 2), 2, 1, "number of places must be"),
        (lambda x: Load(label="", mass_g=x), 0.5, 0, "mass of a bag must be"),
    ],
)  # fmt: skip
def test_the_end_is_allowed_and_beyond_it_is_refused_by_name(
    of: Callable[[float], object], end: float, beyond: float, words: str
) -> None:
    assert of(end) is not None
    with pytest.raises(OutOfRange, match=words):
        of(beyond)


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        (lambda: balance(bags(9), 4, pair_limit_g=1, buckets_g=[]), "No buckets in a rotor of four places."),
        (lambda: balance(bags(9), 4, pair_limit_g=1, buckets_g=[9]), "One bucket in a rotor of four places."),
        (lambda: balance(bags(*[9] * 13), 12, pair_limit_g=1), "13 bags in a rotor of twelve places."),
        (
            lambda: balance(bags(*[9] * 25), 2, pair_limit_g=1, bags_per_place=12),
            "25 bags in a rotor of two places, twelve in each.",
        ),
        (
            lambda: balance(bags(9), 7, pair_limit_g=1),
            "A rotor of seven places has no opposite places to make equal.",
        ),
        (
            lambda: balance(bags(9), 2, pair_limit_g=0, filler_step_g=2),
            "With filler in pieces of 2 g no arrangement comes within 0 g: use finer filler.",
        ),
        (
            lambda: balance(bags(9, 5), 4, pair_limit_g=10, filler_step_g=50, vector_limit_g=1),
            "No filler in pieces of 50 g brings the vector sum within 1 g.",
        ),
    ],
)
def test_what_cannot_be_done_is_said_in_one_sentence(wrong: Callable[[], object], sentence: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        wrong()
    assert sentence == str(refusal.value)


def test_where_not_everything_was_tried_the_refusal_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(balancing, "least_filler", lambda problem: (None, False))
    with pytest.raises(OutOfRange, match="no arrangement was found that comes within 0 g: use finer filler"):
        balance(bags(9), 2, pair_limit_g=0, filler_step_g=2)


@pytest.mark.parametrize(("number", "word"), [(3, "three"), (9, "nine"), (11, "eleven"), (13, "13")])
def test_small_numbers_are_written_as_words(number: int, word: str) -> None:
    with pytest.raises(OutOfRange, match=f"A rotor of {word} places"):
        balance(bags(9), number, pair_limit_g=1)


def test_places_stand_at_equal_angles_from_the_first() -> None:
    # A quarter turn is i; a third is −1/2 + i √3/2.
    assert 1j == pytest.approx(residual_vector_g([0, 1, 0, 0]), abs=1e-12)
    assert complex(-0.5, math.sqrt(3) / 2) == pytest.approx(residual_vector_g([0, 1, 0]), abs=1e-12)
    assert 5 == residual_vector_g([5, 0, 0])


def test_a_milligram_too_much_is_met_by_a_milligram_of_filler() -> None:
    loading = balance(bags(600.001, 600), 2, pair_limit_g=0, filler_step_g=0.001)
    assert (0.001, 1) == (loading.filler_g, loading.fillers)
    assert 0 == balance(bags(600.0004, 600), 2, pair_limit_g=0).filler_g


def test_places_are_numbered_from_one_and_carry_bucket_bags_and_filler() -> None:
    loading = balance(bags(610, 600), 4, pair_limit_g=2, buckets_g=[400, 400, 401, 400])
    assert [1, 2, 3, 4] == [place.number for place in loading.places]
    assert [400, 400, 401, 400] == [place.bucket_g for place in loading.places]
    assert [(1, 3), (2, 4)] == [(near.number, far.number) for near, far in loading.pairs]
    heaviest = max(loading.places, key=lambda place: place.mass_g)
    assert {1010, 1011} >= {heaviest.mass_g}
    assert 2 == loading.largest_difference_g
    assert loading.residual_g == pytest.approx(residual_g([place.mass_g for place in loading.places]))


def test_a_heavier_far_place_differs_as_much_as_a_heavier_near_one() -> None:
    near, far = (
        balance(bags(600, 600), 2, pair_limit_g=9, buckets_g=each) for each in ([407, 400], [400, 407])
    )
    assert (7, 7) == (near.largest_difference_g, far.largest_difference_g)


def test_a_vector_limit_that_is_met_anyway_leaves_the_proof_standing() -> None:
    loading = balance(bags(600, 598), 4, pair_limit_g=2, vector_limit_g=2)
    assert (0, True) == (loading.filler_g, loading.proven)


def test_filler_for_the_vector_sum_goes_on_until_it_is_met_and_no_further() -> None:
    # One pair differs by 10 g: nothing else can make that good, so 8 pieces leave the 2 g that are allowed.
    loading = balance(bags(600, 590), 4, pair_limit_g=10, vector_limit_g=2)
    assert (8, 2) == (loading.filler_g, pytest.approx(loading.residual_g))
    assert not loading.proven
