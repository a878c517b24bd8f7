"""A step and who was signed for it: whether someone without the signature may record it, as the site decided."""

from django.http import HttpRequest

from buffycoat.journal.book import Book
from buffycoat.shell.guidance import TRAINED
from buffycoat.shell.recording import page_of
from buffycoat.site.people_limits import OFF, REFUSE
from buffycoat.site.rules import limits
from buffycoat.training.rules import Trained

# Steps whose page has another name than the step; any other page is the step of its own name.
STEPS_OF_PAGES = {
    "draw-new": ("draw-tare",),
    "draw-finish": ("draw-running",),
    "spin-new": ("spin-weigh", "spin-plan"),
}
# The same steps at the terminal, which has no pages: by the name of the command there.
STEPS_OF_COMMANDS = {
    "examine-donor": ("donor-examine",),
    "type-blood": ("donor-type",),
    "start-draw": ("draw-tare",),
    "finish-draw": ("draw-running",),
    "start-spin": ("spin-weigh", "spin-plan"),
    "finish-spin": ("spin-finish",),
    "express-plasma": ("separation-express",),
    "add-additive": ("separation-additive",),
    "lose-additive": ("separation-additive",),
    "look-for-clots": ("separation-clots",),
    "seal-segments": ("separation-segments",),
    "weigh-product": ("separation-weigh",),
    "scan-label-back": ("label-scan-back",),
    "put-away": ("put-away",),
    "thaw-unit": ("unit-thaw",),
    "divide-unit": ("unit-divide",),
    "separate-cryo": ("unit-cryo",),
    "read-temperature": ("temperature-read",),
}


def steps_of(page: str) -> tuple[str, ...]:
    return STEPS_OF_PAGES.get(page, (page,) if page in TRAINED else ())


def steps_of_command(name: str) -> tuple[str, ...]:
    return STEPS_OF_COMMANDS.get(name, ())


def asked(request: HttpRequest) -> tuple[list[str], list[str]]:
    return not_signed(request.user.get_username(), steps_of(page_of(request)))


def not_signed(name: str, steps: tuple[str, ...]) -> tuple[list[str], list[str]]:
    """Why this person may not record these steps, and what they are told if they do: one of them is empty."""
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
