"""How pages say what is wrong and what came of it."""

from django import template

from buffycoat.problems.models import ProblemRow
from buffycoat.problems.rules import OUTCOMES, WHAT
from buffycoat.science.numbering import KINDS

register = template.Library()


@register.filter
def problem_words(row: ProblemRow) -> str:
    what = WHAT.get(row.what, row.what)
    return f"{what}: {row.words}" if row.words else what


@register.filter
def outcome_words(row: ProblemRow) -> str:
    return OUTCOMES.get(row.outcome, row.outcome)


@register.filter
def noun_of(code: str) -> str:
    return KINDS[code[0]]
