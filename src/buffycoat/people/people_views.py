"""Who may sign in, and as what: kept by the coordinator."""

import logging
import secrets

from django.contrib import messages
from django.contrib.auth import get_user_model
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache

from buffycoat.journal.book import Book
from buffycoat.people import second_factor
from buffycoat.people.forms import AddPersonForm, RolesForm
from buffycoat.people.models import access_of, password_is_to_change
from buffycoat.people.my_sign_ins import ended, sign_ins_of
from buffycoat.people.roles import COORDINATOR, add, give_roles, roles_of, who_has
from buffycoat.people.sessions import end_all
from buffycoat.science.numbering import make_code
from buffycoat.shell.answers import pdf_answer
from buffycoat.shell.paper import Card, one_card
from buffycoat.site.rules import limits

LOG = logging.getLogger("buffycoat.people")
LAST = "Nobody else is coordinator: give that role to another person first."


@never_cache
def people(request: HttpRequest) -> HttpResponse:
    found = get_user_model().objects.prefetch_related("groups").order_by("-is_active", "username")
    form = AddPersonForm(request.POST or None)
    shown = {"people": found, "form": form, "coordinator": COORDINATOR in roles_of(request.user)}
    if request.method == "POST" and form.is_valid():
        password = secrets.token_urlsafe(12)
        person = add(form.cleaned_data["name"], password, form.cleaned_data["roles"])
        password_is_to_change(person)
        _log(request, person, f"added as {', '.join(form.cleaned_data['roles'])}")
        shown |= {"added": person, "password": password, "form": AddPersonForm()}
    return render(request, "people/people.html", shown)


@never_cache
def person(request: HttpRequest, number: int) -> HttpResponse:
    """`act` says what was pressed; a password that is made here stands on this one answer and nowhere else."""
    who = get_object_or_404(get_user_model(), pk=number)
    given = request.POST if request.POST.get("act") == "roles" else None
    form = RolesForm(given, initial={"roles": sorted(roles_of(who))})
    shown = {"who": who, "form": form, "access": access_of(who), "sign_ins": sign_ins_of(who)}
    if request.method != "POST":
        return render(request, "people/person.html", shown)
    act = request.POST.get("act")
    gives_up = act == "disable" or (act == "roles" and COORDINATOR not in request.POST.getlist("roles"))
    if gives_up and who_has([COORDINATOR]) == [who.get_username()]:
        messages.error(request, LAST)
        return redirect("person", number)
    if act == "roles" and not form.is_valid():
        return render(request, "people/person.html", shown)
    if act == "password":
        shown["password"] = _new_password(who)
        _log(request, who, "new password")
        return render(request, "people/person.html", shown)
    if said := _done(who, str(act), form, request.POST.get("sign_in", "")):
        _log(request, who, said)
        messages.success(request, f"{who.get_username()}: {said}.")
    return redirect("person", number)


def _done(who: User, act: str, form: RolesForm, sign_in: str) -> str:
    match act:
        case "roles":
            give_roles(who, form.cleaned_data["roles"])
            return f"from now on {', '.join(sorted(form.cleaned_data['roles']))}"
        case "disable" | "enable":
            who.is_active = act == "enable"
            who.save(update_fields=["is_active"])
            end_all(who)
            return "may sign in" if who.is_active else "may no longer sign in, and is signed out everywhere"
        case "factor":
            second_factor.turn_off(who)
            return "signs in without a second factor until one is set up again"
        case "end" if ended(who, sign_in):
            return "that sign-in was ended"
    return ""


def _new_password(who: User) -> str:
    """Ends every sign-in of that person."""
    password = secrets.token_urlsafe(12)
    who.set_password(password)
    who.save()
    access_of(who).set_pin(secrets.token_urlsafe(12))  # no PIN opens until the person sets one
    password_is_to_change(who)
    end_all(who)
    return password


def badge(request: HttpRequest, number: int) -> HttpResponse:
    who = get_object_or_404(get_user_model(), pk=number)
    site = limits(Book())
    code = make_code("H", site.text("site_code"), who.pk)
    name = who.get_username()
    card = Card(noun="Person", title=name, code=code, site_name=site.text("site_name"))
    return pdf_answer(one_card(card), f"badge-{name}")


def _log(request: HttpRequest, who: User, what: str) -> None:
    LOG.info("%s: %s, by %s", who.get_username(), what, request.user.get_username())
