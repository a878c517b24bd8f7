"""How pages say temperatures."""

from datetime import datetime

from django import template

from buffycoat.shell import words as shell_words
from buffycoat.temperatures import words

register = template.Library()


@register.filter
def degrees(centi_c: int) -> str:
    return words.degrees(centi_c)


@register.filter
def degrees_of(celsius: float) -> str:
    """To hundredths; computed figures come with more."""
    return words.degrees(round(celsius * 100))


@register.filter
def lasted_until(start: datetime, end: datetime) -> str:
    return shell_words.duration(int((end - start).total_seconds()))
