"""A second person types the same on the same page, blind: what the first one typed is carried signed and not shown."""

from typing import Any

from django import forms
from django.contrib.auth import get_user_model
from django.core import signing
from django.http import HttpRequest, QueryDict

from buffycoat.journal.book import Book
from buffycoat.people import delays
from buffycoat.shell.forms import BenchForm, ListField
from buffycoat.site.people_limits import OFF
from buffycoat.site.rules import limits

SALT = "buffycoat.people.second_person"
STILL_GOOD_S = 30 * 60
KEPT = ("reason",)  # why it is changed is the first person's; everything else is typed by both
NOW = "Now a second person: type the same from the source, not from this screen, and sign."
DIFFER = "The two do not agree, and neither is shown: look at the source together, and begin again."


def checked_by(request: HttpRequest, form: BenchForm) -> str | None:
    """Who typed the same; empty where the site does not ask for it. None: the page asks for the second person first.

    Called with a valid form. While it gives None the form shows what is to be done next.
    """
    if limits(Book()).text("second_person_for_rules") == OFF:
        return ""
    name = request.user.get_username()
    asked = [each for each in form.fields if not form.fields[each].widget.is_hidden and each not in KEPT]
    typed = {each: str(form.cleaned_data[each]) for each in asked}
    if not (first := str(form.data.get("first", ""))):
        _ask(form, asked, signing.dumps([name, typed], salt=SALT, compress=True), name, NOW)
        return None
    try:
        who, before = signing.loads(first, salt=SALT, max_age=STILL_GOOD_S)
    except signing.BadSignature:
        who, before = "", {}
    if (who, before) != (name, typed):
        _ask(form, asked, "", name, DIFFER)
        return None
    return _signed(form, asked, first, name)


def _signed(form: BenchForm, asked: list[str], first: str, name: str) -> str | None:
    second, password = str(form.data.get("checked_by", "")), str(form.data.get("second_password", ""))
    user = get_user_model().objects.filter(username=second, is_active=True).exclude(username=name).first()
    wait = delays.seconds_to_wait(second, "checking") if user else 0
    if user is None:
        _ask(form, asked, first, name, "Choose who types it a second time.")
    elif wait:
        _ask(form, asked, first, name, delays.words(wait))
    elif not user.check_password(password):
        _ask(form, asked, first, name, f"This is not the password of {second}: nothing was signed.")
    else:
        delays.right(second, "checking")
        return second
    return None


def _ask(form: BenchForm, asked: list[str], first: str, name: str, sentence: str) -> None:
    """Empties what both must type; with `first` the page also asks who the second person is."""
    data = QueryDict(mutable=True)
    data.update(form.data)
    for each in asked:
        data[each] = ""
    data["first"], data["second_password"] = first, ""
    form.data = data
    if first:
        _add_fields(form, name)
    form.refuse([sentence])


def _add_fields(form: BenchForm, name: str) -> None:
    others = get_user_model().objects.filter(is_active=True).exclude(username=name).order_by("username")
    names = [("", "Choose …"), *((each, each) for each in others.values_list("username", flat=True))]
    added: dict[str, Any] = {
        "first": forms.CharField(widget=forms.HiddenInput, required=False),
        "checked_by": ListField(label="Second person", choices=names),
        "second_password": forms.CharField(
            label="Password of the second person",
            strip=False,
            widget=forms.PasswordInput(attrs={"autocomplete": "off"}),
        ),
    }
    form.fields.update(added)
