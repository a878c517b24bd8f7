"""What is asked when something is wrong, and when it is settled."""

from typing import Any

from buffycoat.draws.stickers import KINDS_OF_STICKERS
from buffycoat.problems.rules import BY_COUNT, FITTING, OUTCOMES, STREAMS, WHAT
from buffycoat.shell.forms import BenchForm, ChoiceField, CodeField, MomentField, WordsField

KINDS_OF_THINGS = "".join(dict.fromkeys(("U", *STREAMS, *sorted(KINDS_OF_STICKERS))))


class FindThingForm(BenchForm):
    about = CodeField(
        label="Bag, unit, place, spin, rotor, bag set lot or donor",
        kinds=KINDS_OF_THINGS,
        noun="thing itself",
    )


class ReportForm(BenchForm):
    what = ChoiceField(label="What is wrong", choices=list(WHAT.items()))
    words = WordsField(label="In your own words", required=False, lines=2)
    happened_at = MomentField(label="Found at", required=False)

    def __init__(self, *args: Any, kind: str, **kwargs: Any) -> None:
        """Only what can be wrong with a thing of this kind is asked."""
        super().__init__(*args, **kwargs)
        offered = [what for what in WHAT if what not in BY_COUNT]
        fitting = [(what, WHAT[what]) for what in FITTING.get(kind, offered)]
        self.fields["what"].choices = fitting  # type: ignore[attr-defined]


class SettleForm(BenchForm):
    outcome = ChoiceField(label="What came of it", choices=list(OUTCOMES.items()))
    why = WordsField(label="What was looked at, and why this is right", lines=2)
