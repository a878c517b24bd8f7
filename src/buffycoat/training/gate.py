"""A step and who was signed for it: whether someone without the signature may record it, as the site decided."""

from buffycoat.journal.book import Book
from buffycoat.shell.guidance import TRAINED
from buffycoat.site.people_limits import OFF, REFUSE
from buffycoat.site.rules import limits
from buffycoat.training.rules import Trained

# Steps whose page has another name than the step; any other page is the step of its own name.
STEPS_OF_PAGES = {
    "draw-new": ("draw-tare",),
    "draw-finish": ("draw-running",),
    "spin-new": ("spin-weigh", "spin-plan"),
}


def steps_of(page: str) -> tuple[str, ...]:
    return STEPS_OF_PAGES.get(page, (page,) if page in TRAINED else ())


def not_signed(name: str, page: str) -> tuple[list[str], list[str]]:
    """Why this person may not record on this page, and what they are told if they do: one of them is empty."""
    steps = steps_of(page)
    decided = limits(Book()).text("training_gate") if steps else OFF
    if decided == OFF:
        return [], []
    signed = Book()(Trained, name).signed
    then = "Someone who is signed for it does it now" if decided == REFUSE else "It is recorded all the same"
    told = [
        f"{name} is not signed for “{TRAINED[step]}”. {then}; a trainer signs on the page Training."
        for step in steps
        if step not in signed
    ]
    return (told, []) if decided == REFUSE else ([], told)
