"""Hypothesis at the same bench: it chooses every step and every slip, and makes what fails as short as it can."""

from collections.abc import Sequence
from typing import Any

from django.db import transaction
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from tests.simulation.banks import MemoryBank, RealBank
from tests.simulation.hands import Hands
from tests.simulation.invariants import broken
from tests.simulation.lives import opened

choices = st.data()


class Drawn:
    """Chances that Hypothesis draws."""

    def __init__(self, data: Any) -> None:
        self.data = data

    def choice(self, among: Sequence[Any]) -> Any:
        return among[self.randint(0, len(among) - 1)]

    def randint(self, least: int, most: int) -> int:
        return self.data.draw(st.integers(least, most))


class First:
    """No chance at all: the bank before anybody came."""

    def choice(self, among: Sequence[Any]) -> Any:
        return among[0]

    def randint(self, least: int, most: int) -> int:
        return least


class AnyWork(RuleBasedStateMachine):
    """`hands` check what was written to after each step; the whole book is checked at every step too."""

    hands: Hands

    @initialize()
    def opens(self) -> None:
        self.hands = opened(self.a_bank(), First())

    def a_bank(self) -> Any:
        return MemoryBank()

    @rule(data=choices)
    def draws(self, data: Any) -> None:
        self.at_the_bench(data).draws()

    @rule(data=choices)
    def goes_on(self, data: Any) -> None:
        hands = self.at_the_bench(data)
        for _ in range(hands.chance.randint(1, 12)):
            if hands.at_work:
                hands.waits()
                hands.goes_on(hands.chance.choice(hands.at_work))

    @rule(data=choices)
    def corrects(self, data: Any) -> None:
        self.at_the_bench(data).corrects()

    @rule(data=choices)
    def makes_no_sense(self, data: Any) -> None:
        self.at_the_bench(data).makes_no_sense()

    @rule(data=choices)
    def sets_a_limit(self, data: Any) -> None:
        self.at_the_bench(data).sets_a_limit()

    @rule()
    def gives_again(self) -> None:
        self.hands.gives_again()

    @invariant()
    def everything_holds(self) -> None:
        if hasattr(self, "hands"):
            assert [] == list(broken(self.hands.bank))

    def at_the_bench(self, data: Any) -> Hands:
        self.hands.chance = Drawn(data)
        self.hands.waits()
        return self.hands


class RealWork(AnyWork):
    """In the real bank; each example is taken back at its end, for the book cannot be emptied."""

    def a_bank(self) -> Any:
        return RealBank()

    def __init__(self) -> None:
        super().__init__()
        self.example = transaction.atomic()
        self.example.__enter__()

    def teardown(self) -> None:
        transaction.set_rollback(True)
        self.example.__exit__(None, None, None)
