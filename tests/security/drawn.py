"""Values for the fields of real forms: right ones, nearly right ones, hostile ones. All by a seed."""

import uuid
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from random import Random
from typing import Any

from django import forms
from django.core.files.uploadedfile import SimpleUploadedFile

from buffycoat.shell import fields as ours
from buffycoat.shell.forms import SeenField
from tests.harness.people import PASSWORD
from tests.security.hostile import value
from tests.security.page_forms import PageForm

WORDS = ("invented", "Invented, by the fuzz", "2026/1", "robin", "nothing else was seen", "ünï 血")
TABLE = b"name,species,sex,born\nInvented,dog,female,2021-05-01\n"
FILES = (
    ("list.csv", "text/csv", TABLE),
    ("list.csv", "text/csv", b"\xff\xfe\x00" * 50),
    ("list.xlsx", "application/zip", b"PK\x03\x04" + b"\x00" * 60),
    ("../../photo.png", "image/png", b"\x89PNG\r\n\x1a\n" + b"\x00" * 40),
    ("photo.svg", "image/svg+xml", b"<svg onload='alert(1)'/>"),
    ("a" * 300, "text/html", b"<script>alert(1)</script>"),
    ("empty", "", b""),
)
TOKEN = "csrfmiddlewaretoken"
Sent = dict[str, Any]


@dataclass(kw_only=True)
class Drawn:
    """`codes` are those of the book; `numbers` stand on the page from which a form is sent."""

    chance: Random
    today: date
    codes: Sequence[str] = ()
    numbers: Sequence[str] = ()
    before: list[str] = field(default_factory=list)  # ids of commands that were sent

    def filled(self, form: PageForm, known: dict[str, forms.Field]) -> tuple[str, Sent]:
        """How it is meant, and what is sent: all of it right, one field of it wrong, or hostile in many places."""
        how = self.chance.choices(("right", "nearly", "hostile"), (5, 3, 2))[0]
        sent = {name: each for name in form.names if (each := self.right(name, form, known)) is not None}
        names = [name for name in form.names if name != TOKEN or self.chance.random() < 0.1]
        if how == "nearly" and names:
            wrong = self.chance.choice(names)
            sent[wrong] = self.nearly(sent.get(wrong, ""))
        if how == "hostile":
            for name in names:
                if self.chance.random() < 0.5:
                    sent[name] = self.nearly(sent.get(name, ""))
            if self.chance.random() < 0.2:
                sent[value(self.chance)[:50]] = value(self.chance)
        return how, {_sendable(name): _sendable(each) for name, each in sent.items()}

    def nearly(self, right: Any) -> Any:
        dice = self.chance.random()
        if dice < 0.1:
            return [right, value(self.chance)] if isinstance(right, str) else value(self.chance)
        return value(self.chance, right if isinstance(right, str) else "")

    def right(self, name: str, form: PageForm, known: dict[str, forms.Field]) -> Any:
        """What the field takes; None leaves it out, as a browser does with a box that is not ticked."""
        of, held = known.get(name), form.held.get(name, [])
        if name == TOKEN:
            return held[0] if held else ""
        if name == "command_id":
            return self._command_id(held)
        if of is None:
            return self._without_a_class(name, form)
        if isinstance(of.widget, forms.HiddenInput) or isinstance(of, SeenField):
            return held[0] if held else ""
        if not of.required and not any(held) and self.chance.random() < 0.5:
            return None if isinstance(of, forms.BooleanField) else ""
        if any(held) and self.chance.random() < 0.3:
            return held
        return self._of_its_kind(of)

    def _command_id(self, held: list[str]) -> str:
        dice = self.chance.random()
        if dice < 0.1 and self.before:
            return self.chance.choice(self.before)
        made = held[0] if held and dice < 0.5 else str(uuid.UUID(int=self.chance.getrandbits(128), version=4))
        self.before = [*self.before[-50:], made]
        return made

    def _without_a_class(self, name: str, form: PageForm) -> str | None:
        if name in form.offered:
            return self.chance.choice([*form.offered[name], *form.held.get(name, [])])
        return form.held[name][0]

    def _of_its_kind(self, of: forms.Field) -> Any:
        chance = self.chance
        if isinstance(of, forms.FileField):
            name, kind, content = chance.choice(FILES)
            return SimpleUploadedFile(name, content, kind)
        if isinstance(of, forms.ChoiceField):
            return self._choice(of)
        if isinstance(of, forms.BooleanField):
            return "on" if of.required or chance.random() < 0.5 else None
        if isinstance(of, ours.MeasureField):
            return self._measure(of)
        if isinstance(of, ours.CodeField):
            fitting = [each for each in self.codes if each[0] in of.kinds]
            return chance.choice(fitting) if fitting else ""
        if isinstance(of, ours.DayField):
            return (self.today + timedelta(days=chance.randint(-400, 400))).isoformat()
        if isinstance(of, ours.MomentField):
            ago = timedelta(minutes=chance.randint(0, 60 * 24 * 3))
            return "" if not of.required else f"{self.today - ago:%Y-%m-%d} {chance.randrange(24):02}:30"
        if isinstance(of, forms.UUIDField):
            return self._command_id([])
        if isinstance(of.widget, forms.PasswordInput):
            return chance.choice((PASSWORD, PASSWORD, "2580", "another-password-of-tests"))
        most = getattr(of, "most", None) or getattr(of, "max_length", None) or 100
        return chance.choice((*WORDS, "w" * most, "w" * (most + 1)))[: most + 1]

    def _choice(self, of: forms.ChoiceField) -> Any:
        offered = [str(each) for each, _ in of.choices if each != ""]
        if isinstance(of, forms.MultipleChoiceField):
            return self.chance.sample(offered, self.chance.randint(1, len(offered))) if offered else []
        return self.chance.choice(offered) if offered else ""

    def _measure(self, of: ours.MeasureField) -> str:
        """A number of the page, or one within the field's own range, most of them small."""
        if self.numbers and self.chance.random() < 0.6:
            return self.chance.choice(self.numbers)
        most = of.most if of.most is not None else max(of.least, 1) * 10 ** self.chance.randint(1, 4)
        steps = self.chance.choice(
            (of.least, most, self.chance.randint(of.least, most), of.least - 1, most + 1)
        )
        return of.show(steps).replace("\u2009", "").replace("\u202f", "")


def _sendable(each: Any) -> Any:
    """A lone surrogate cannot be sent; its bytes can."""
    if isinstance(each, list):
        return [_sendable(one) for one in each]
    return each.encode("utf-8", "surrogatepass").decode("utf-8", "replace") if isinstance(each, str) else each
