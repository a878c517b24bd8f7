"""Each step with a donor: one page, one form, one command. What differs between them stands in one table."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import timedelta
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from buffycoat.donors import step_forms as forms
from buffycoat.donors.facts import QuestionnaireAnswered
from buffycoat.donors.health import (
    ClearPositive,
    DeferDonor,
    GiveMedicine,
    LiftDeferral,
    RecordJourney,
    RecordTest,
    Vaccinate,
)
from buffycoat.donors.may_give import day_of
from buffycoat.donors.questions import BY_KEY, DEFERS, FOR_GOOD, YES
from buffycoat.donors.registering import ReadChip, RetireDonor
from buffycoat.donors.rules import Donor, may_give, stream_of
from buffycoat.donors.visits import (
    AnswerQuestions,
    CallOwner,
    GiveConsent,
    ReportReaction,
    SedateDonor,
    WaiveChecks,
    WithdrawConsent,
)
from buffycoat.donors.words import said
from buffycoat.journal.book import Book
from buffycoat.journal.facts import Command
from buffycoat.journal.record import Recorded
from buffycoat.shell.recording import again, recorded, seen
from buffycoat.shell.words import day
from buffycoat.site.rules import limits


@dataclass(frozen=True, kw_only=True)
class Step:
    """`heading` names the donor; `after` says where a recorded step leads, if not to the donor's page."""

    key: str
    title: str
    heading: str
    button: str
    command: Callable[..., Command]
    form: type[forms.StepForm]
    help: str = ""


STEPS = (
    Step(
        key="questions",
        title="Questions of the visit",
        heading="Questions about {name}",
        button="Record the answers",
        command=AnswerQuestions,
        form=forms.QuestionsForm,
        help="Asked of whoever brought the animal, on the day of the draw.",
    ),
    Step(
        key="consent",
        title="Consent",
        heading="Consent for {name}",
        button="The owner has signed",
        command=GiveConsent,
        form=forms.ConsentForm,
        help="The signed paper stays with the site. The journal keeps the day and the version, never a name.",
    ),
    Step(
        key="withdraw",
        title="Consent withdrawn",
        heading="Consent for {name} withdrawn",
        button="Record the withdrawal",
        command=WithdrawConsent,
        form=forms.WithdrawForm,
    ),
    Step(
        key="vaccine",
        title="Vaccination",
        heading="Vaccination of {name}",
        button="Record the vaccination",
        command=Vaccinate,
        form=forms.VaccineForm,
    ),
    Step(
        key="medicine",
        title="Medicine",
        heading="Medicine of {name}",
        button="Record the medicine",
        command=GiveMedicine,
        form=forms.MedicineForm,
    ),
    Step(
        key="journey",
        title="Journey",
        heading="Where {name} was",
        button="Record the journey",
        command=RecordJourney,
        form=forms.JourneyForm,
        help="Samples of the panel from before the return do not count any more.",
    ),
    Step(
        key="test",
        title="Infectious test",
        heading="Infectious test of {name}",
        button="Record the result",
        command=RecordTest,
        form=forms.TestForm,
        help="A positive result makes everything of this donor wait that is in date, until a veterinarian clears it.",
    ),
    Step(
        key="clear",
        title="Positive result cleared",
        heading="Clear a positive result of {name}",
        button="Clear it",
        command=ClearPositive,
        form=forms.ClearForm,
        help="What waits because of it may be given again. The result itself stays in the journal.",
    ),
    Step(
        key="defer",
        title="Deferral",
        heading="Defer {name}",
        button="Defer",
        command=DeferDonor,
        form=forms.DeferForm,
    ),
    Step(
        key="lift",
        title="Deferral lifted",
        heading="Lift a deferral of {name}",
        button="Lift it",
        command=LiftDeferral,
        form=forms.LiftForm,
    ),
    Step(
        key="sedation",
        title="Sedation",
        heading="Sedation of {name}",
        button="Record the sedation",
        command=SedateDonor,
        form=forms.SedationForm,
    ),
    Step(
        key="reaction",
        title="Reaction of the donor",
        heading="How {name} took the draw",
        button="Record the reaction",
        command=ReportReaction,
        form=forms.ReactionForm,
    ),
    Step(
        key="call",
        title="Call to the owner",
        heading="Call about {name}",
        button="Record the call",
        command=CallOwner,
        form=forms.CallForm,
    ),
    Step(
        key="chip",
        title="Chip",
        heading="Chip of {name}",
        button="Record the chip",
        command=ReadChip,
        form=forms.ChipForm,
        help="By ISO 11784 a chip has 15 figures and no check figure: read it twice. Older ones have 9 or 10.",
    ),
    Step(
        key="retire",
        title="Retirement",
        heading="{name} gives no more",
        button="Retire this donor",
        command=RetireDonor,
        form=forms.RetireForm,
        help="The donor and all its donations stay. Retired by mistake: strike that entry.",
    ),
    Step(
        key="waive",
        title="Emergency: checks waived",
        heading="{name} gives in an emergency",
        button="Leave these checks out today",
        command=WaiveChecks,
        form=forms.WaiveForm,
        help="It holds for today only. The draw, its story and its units say which checks were left out.",
    ),
)
BY_STEP = {each.key: each for each in STEPS}


def steps_for(donor: Donor) -> Iterator[tuple[str, str]]:
    """What may be written down about this donor now."""
    needs = {
        "withdraw": donor.consent,
        "clear": donor.positive,
        "lift": donor.deferrals,
        "reaction": donor.gave,
        "call": donor.gave,
    }
    for each in STEPS:
        if each.key != "questions" and needs.get(each.key, True):
            yield each.key, each.title


def step(request: HttpRequest, donor: str, key: str) -> HttpResponse:
    the, look, now = BY_STEP[key], Book(), timezone.now()
    state, site = look(Donor, donor), limits(look)
    if state.registered is None:
        raise Http404(f"No donor has the number {donor}.")
    form = the.form(
        request.POST or None,
        donor=state,
        answer=may_give(look, donor, now),
        site=site,
        seen=seen(stream_of(donor)),
        initial=again(request),
    )
    valid = request.method == "POST" and form.is_valid()
    if valid and (done := recorded(request, form, the.command(donor=donor, **form.values()))):
        messages.success(request, f"{the.title}: {said(done.lines[0].fact).rstrip('.')}.")
        return redirect(_after(donor, done))
    shown: dict[str, Any] = {"form": form, "step": the, "donor": state, "registered": state.registered}
    shown["heading"] = the.heading.format(name=state.registered.name)
    return render(request, "donors/step.html", shown)


def _after(donor: str, done: Recorded) -> str:
    """A “yes” that defers leads to the deferral, filled in as the question proposes it."""
    fact, at = done.lines[0].fact, done.lines[0].happened_at
    if not isinstance(fact, QuestionnaireAnswered):
        return reverse("donor", args=[donor])
    told = [each for each in fact.answers if each.answer == YES and each.key in BY_KEY]
    defers = [BY_KEY[each.key] for each in told if BY_KEY[each.key].then in (DEFERS, FOR_GOOD)]
    if not defers:
        return reverse("donor", args=[donor])
    proposed = {"reason": "; ".join(each.short for each in defers)}
    if all(each.then == DEFERS for each in defers):
        today = day_of(at, limits(Book()))
        proposed["no_draw_before"] = day(today + timedelta(days=max(each.days for each in defers)))
    return f"{reverse('donor-defer', args=[donor])}?{urlencode(proposed)}"
