"""Passwords that somebody who knows this place would try first."""

import re

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError

from buffycoat.journal.book import Book
from buffycoat.people.may import ROLES
from buffycoat.site.rules import limits

# Named in docs/security.md. What is left of a password without these, without figures and signs, must still be a word.
WORDS = (
    *("buffycoat", "buffy", "coat", "blood", "bank", "donor", "plasma", "unit", "label", "spin", "draw"),
    *(
        "dog",
        "cat",
        "canine",
        "feline",
        "animal",
        "hospital",
        "clinic",
        "bench",
        "admin",
        "password",
        "welcome",
    ),
    *ROLES.values(),
)
LEAST_LEFT = 4


class NotOfThisPlace:
    """Refuses a password made of the program's, the trade's and the site's own words."""

    def validate(self, password: str, user: User | None = None) -> None:
        site = limits(Book())
        own = re.findall(r"\w{3,}", f"{site.text('site_name')} {site.text('site_code')}".lower())
        left = password.lower()
        for word in sorted({*WORDS, *own}, key=len, reverse=True):
            left = left.replace(word, "")
        if len(re.sub(r"[\W\d_]", "", left)) < LEAST_LEFT:
            raise ValidationError(
                "This password is made of words and figures that anyone here would try first: take others."
            )

    def get_help_text(self) -> str:
        return "Not only words of this place and this work."
