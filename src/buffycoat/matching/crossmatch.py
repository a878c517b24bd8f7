"""When blood is crossmatched before it is given: a table; each row that is true is a reason."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from buffycoat.matching.compatibility import PLASMA

NEVER_BEFORE, BEFORE, NOT_KNOWN = "never before", "before", "not known"


@dataclass(frozen=True, kw_only=True)
class History:
    """What is known of a patient. `days_since` the first transfusion counts only with `BEFORE`; None: not told."""

    species: str
    kind: str
    transfused: str
    days_since: int | None = None
    had_reaction: bool = False
    has_antibody: bool = False


@dataclass(frozen=True, kw_only=True)
class Reason:
    true: Callable[[History, int], bool]
    words: str
    source: str


TABLE = (
    Reason(
        true=lambda patient, after_days: patient.species == "cat",
        words="every cat: other antibodies than those of its type occur without any transfusion",
        source="A Canadian animal blood bank and a UK nursing page: always. Giger 2017: if ever transfused.",
    ),
    Reason(
        true=lambda patient, after_days: patient.transfused == NOT_KNOWN,
        words="nobody knows whether it had blood before",
        source="Clinical practice guideline for military working dogs (US Army).",
    ),
    Reason(
        true=lambda patient, after_days: (
            patient.transfused == BEFORE and (patient.days_since is None or patient.days_since >= after_days)
        ),
        words="it had blood before, long enough ago for antibodies",
        source="3 days or more: US Army guideline. Others: more than 4, 4 to 7, at least 5 days.",
    ),
    Reason(
        true=lambda patient, after_days: patient.had_reaction,
        words="it reacted to blood before",
        source="Common practice, no source.",
    ),
    Reason(
        true=lambda patient, after_days: patient.has_antibody,
        words="it has a known antibody",
        source="Common practice, no source.",
    ),
)


def why_crossmatch(patient: History, after_days: int) -> Iterator[Reason]:
    """Each reason to crossmatch; none for plasma, which carries no cells to destroy."""
    if patient.kind == PLASMA:
        return
    yield from (reason for reason in TABLE if reason.true(patient, after_days))
