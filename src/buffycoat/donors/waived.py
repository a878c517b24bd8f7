"""Checks that were left out in an emergency, in words; what matters most to whoever is given the blood comes first."""

from collections.abc import Iterable

from buffycoat.donors.questions import BY_KEY, MINDED

WORDS = {
    "panel": "infectious panel",
    "blood-type": "second blood typing",
    "deferral": "a deferral",
    "medicine": "a medicine",
    "vaccine-lately": "a vaccination lately",
    "questionnaire": "questions to the owner",
    **{key: question.short for key, question in BY_KEY.items() if question.then != MINDED},
    "vaccination": "vaccinations",
    "pcv": "PCV",
    "protein": "total protein",
    "murmur": "a heart murmur",
    "weight": "weight",
    "age": "age",
    "interval": "time since the last draw",
    "yearly": "draws in a year",
    "consent": "the owner's consent",
}
_ORDER = list(WORDS)


def in_words(checks: Iterable[str]) -> str:
    """
    >>> in_words(["consent", "panel"])
    "infectious panel, the owner's consent"
    """
    told = sorted(checks, key=lambda key: _ORDER.index(key) if key in WORDS else len(_ORDER))
    return ", ".join(WORDS.get(key, key) for key in told)
