"""Jobs in hand: what the next step of each donation is, where it is done and by when."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from django.urls import reverse

from buffycoat.donors.rules import Donor
from buffycoat.draws.models import DonationRow
from buffycoat.journal.book import Book, standing
from buffycoat.journal.facts import Line, Look
from buffycoat.labels.changes import root_of
from buffycoat.labels.rules import Labelling
from buffycoat.problems.rules import why_held
from buffycoat.separation.rules import PLASMA, Separation, freezer_due_at
from buffycoat.separation.weighings import Weighings
from buffycoat.site.rules import Limits, limits
from buffycoat.spins.rules import POOR, WELL, Spin
from buffycoat.storage.rules import Shelf


@dataclass(frozen=True, kw_only=True)
class Step:
    """`due_at` is when the step is late, and `due_words` says of what."""

    words: str
    path: str
    due_at: datetime | None = None
    due_words: str = ""


@dataclass(frozen=True, kw_only=True)
class Job:
    """`last` is what was done with it last: whoever takes it over sees who has had it in hand.

    `held` says why all that comes of it will wait.
    """

    donation: DonationRow
    step: Step
    last: Line
    held: str


def next_step(look: Look, donation: str) -> Step | None:
    """The next step of a donation, or None when nothing is left to do."""
    state, site = look(Separation, donation), limits(look)
    draw = state.draw
    if draw.started is None or draw.discarded:
        return None
    if draw.finished is None:
        assert draw.started_at
        due_at = draw.started_at + timedelta(minutes=site.whole("longest_draw_min"))
        path = reverse("draw-finish", args=[donation])
        return Step(words="Draw running", path=path, due_at=due_at, due_words="Plasma until")
    if not draw.finished.usable:
        return Step(words="Discard the bag", path=reverse("draw-discard", args=[donation]))
    step = _at_the_bench(look, state) or _at_the_shelf(look, state)
    if step and draw.brought_in:
        return replace(step, words=f"{step.words}, {draw.brought_in.old_number}")
    return _with_freezer_clock(step, look, state, site)


def _at_the_bench(look: Look, state: Separation) -> Step | None:
    donation = state.number
    if state.draw.brought_in:
        return None
    if state.spun.in_spin:
        spin = look(Spin, state.spun.in_spin)
        assert spin.started and spin.started_at
        stops_at = spin.started_at + timedelta(seconds=spin.started.programme.duration_s)
        path = reverse("spin-finish", args=[spin.number])
        return Step(words="In the centrifuge", path=path, due_at=stops_at, due_words="Spin ends")
    if not state.kept_whole and state.expressed is None:
        if state.spun.outcome == WELL:
            return Step(words="Press off the plasma", path=reverse("separation-express", args=[donation]))
        words = "Spin again" if state.spun.outcome == POOR else "Waits for the spin"
        return Step(words=words, path=f"{reverse('spin-new')}?bag={donation}")
    if state.additive_due:
        return Step(words="Add the additive", path=reverse("separation-additive", args=[donation]))
    if state.clots is None:
        return Step(words="Look for clots", path=reverse("separation-clots", args=[donation]))
    if state.segments is None:
        return Step(words="Seal the segments", path=reverse("separation-segments", args=[donation]))
    weighed = look(Weighings, donation).weighed
    for part in state.parts:
        if part not in weighed:
            words = f"Weigh the {part.replace('-', ' ')}"
            return Step(words=words, path=reverse("separation-weigh", args=[donation, part]))
    return None


def _at_the_shelf(look: Look, state: Separation) -> Step | None:
    """A label whose blood type is no longer the donor's is printed again, wherever the unit stands."""
    donation, labels, shelf = state.number, look(Labelling, state.number), look(Shelf, state.number)
    assert state.draw.started
    parts = shelf.changes.ends_of(state.parts)
    blood_type = look(Donor, state.draw.started.donor).blood_type

    def step(words: str, path: str, part: str) -> Step:
        """While a unit is out of its fridge, its time runs at each step."""
        back_by = shelf.out_of(part).back_by(limits(look))
        return Step(words=words, path=path, due_at=back_by, due_words="In the fridge by")

    if labels.awaited and labels.awaited.blood_type == blood_type:
        path = reverse("label-scan-back", args=[donation])
        return step("Scan the label back", path, labels.awaited.part)
    waiting = [labels.awaited.part] if labels.awaited else []
    for part in (*waiting, *parts):
        label, words = labels.printed.get(part), part.replace("-", " ")
        if part in shelf.discarded:
            continue
        if part in shelf.changes.children and part not in shelf.changes.weighed:
            return step(f"Weigh the {words}", reverse("part-weigh", args=[donation, part]), part)
        if label is None or label.blood_type != blood_type or part in labels.untrue:
            again = " again" if label else ""
            return step(f"Label the {words}{again}", reverse("label-print", args=[donation, part]), part)
        if part not in shelf.put_away:
            return step(f"Put the {words} away", f"{reverse('put-away')}?unit={label.unit}", part)
    return None


def _with_freezer_clock(step: Step | None, look: Look, state: Separation, site: Limits) -> Step | None:
    """While plasma is on its way, its clock to the freezer is shown unless a nearer clock runs."""
    shelf = look(Shelf, state.number)
    plasma = [
        part
        for part in shelf.changes.ends_of(state.parts)
        if root_of(part) == PLASMA and shelf.changes.changed_to(part) is None
    ]
    done = all(part in shelf.put_away_at or part in shelf.discarded for part in (plasma or [PLASMA]))
    no_plasma = state.kept_whole or (state.draw.finished is not None and not state.draw.finished.gives_plasma)
    if step is None or step.due_at or done or no_plasma:
        return step
    due_at = freezer_due_at(state.draw, site)
    return Step(words=step.words, path=step.path, due_at=due_at, due_words="Freezer until")


def jobs() -> list[Job]:
    """Every donation with something left to do; the nearest clock comes first."""
    look = Book()
    rows = DonationRow.objects.filter(open_job__isnull=False).select_related("donor")
    found = [
        Job(
            donation=row,
            step=step,
            last=standing(f"donation/{row.donation}")[-1],
            held="; ".join(why_held(look, row.donation, "")),
        )
        for row in rows
        if (step := next_step(look, row.donation))
    ]
    return sorted(
        found, key=lambda job: (job.step.due_at is None, job.step.due_at or job.donation.started_at)
    )
