"""May this animal give today, and how much? Every check with its words and the limit or source behind it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from buffycoat.donors.blood_types import CONFIRMED, IN_DOUBT, ON_THE_LABEL
from buffycoat.donors.donor import Donor
from buffycoat.donors.facts import DonorExamined, DonorRegistered
from buffycoat.donors.panel import NEGATIVE, Panel, panel
from buffycoat.donors.questions import BY_KEY, MINDED, YES
from buffycoat.journal.facts import Look
from buffycoat.science.composition import blood_volume_ml, largest_draw_ml
from buffycoat.site.rules import Limits, limits

MAY, MIND, MAY_NOT, WAIVED = "may give", "to mind", "may not give", "waived"
NOT_ASKED, TOLD, MUST = "not asked", "told", "must"
NOT_WAIVED = ("registered", "retired", "measured", "positive")
WARMEST_DECI_C = {"dog": 392, "cat": 392}  # from memory: 39.2 °C is the upper end of the usual in both
AFTER_EXCLUSION = "UK practice page for an animal blood bank; US military working dog guideline."


@dataclass(frozen=True, kw_only=True)
class Check:
    """`limit` is the key of the site's limit behind it, `source` what else stands behind it."""

    key: str
    verdict: str
    words: str
    limit: str = ""
    source: str = ""


@dataclass(frozen=True, kw_only=True)
class LargestDraw:
    """The largest draw by the site's limits, as mL and in the two shares that bound it."""

    volume_ml: int
    blood_volume_ml: int

    def ml_per_kg(self, weight_g: int, volume_ml: int) -> float:
        return volume_ml / (weight_g / 1000)

    def percent(self, volume_ml: int) -> float:
        return 100 * volume_ml / self.blood_volume_ml


@dataclass(frozen=True, kw_only=True)
class MayGive:
    checks: tuple[Check, ...]
    most: LargestDraw | None

    @property
    def why_not(self) -> tuple[str, ...]:
        return tuple(check.words for check in self.checks if check.verdict == MAY_NOT)

    @property
    def to_mind(self) -> tuple[str, ...]:
        return tuple(check.words for check in self.checks if check.verdict == MIND)

    @property
    def waived(self) -> tuple[str, ...]:
        return tuple(check.key for check in self.checks if check.verdict == WAIVED)

    @property
    def only_measuring_misses(self) -> bool:
        return [check.key for check in self.checks if check.verdict == MAY_NOT] == ["measured"]


def largest_draw(species: str, weight_g: int, site: Limits) -> LargestDraw:
    weight_kg = weight_g / 1000
    ml_per_kg = site.whole(f"{species}_blood_volume_ml_per_kg")
    blood_ml = blood_volume_ml(weight_kg, ml_per_kg)
    by_share_ml = largest_draw_ml(weight_kg, ml_per_kg, site.whole(f"{species}_largest_draw_percent") / 100)
    by_weight_ml = weight_kg * site.whole(f"{species}_largest_draw_ml_per_kg")
    return LargestDraw(volume_ml=int(min(by_share_ml, by_weight_ml) + 1e-9), blood_volume_ml=round(blood_ml))


def may_give(look: Look, donor: str, at: datetime) -> MayGive:
    """The one answer that the page, the draw, the command line and the calendar give."""
    state, site = look(Donor, donor), limits(look)
    if state.registered is None:
        unknown = "No donor has this number: scan the donor's card again, or register the donor."
        return MayGive(checks=(Check(key="registered", verdict=MAY_NOT, words=unknown),), most=None)
    measured = state.examined if of_today(state.examined_at, at, site) else None
    species = state.registered.species
    return MayGive(
        checks=tuple(_with_waivers(state, at, site, _checks(state, state.registered, at, site, panel(look)))),
        most=largest_draw(species, measured.weight_g, site) if measured else None,
    )


def why_not_today(look: Look, donor: str, at: datetime) -> Iterator[str]:
    """Every reason why this animal should not give today. Who is not known is told of by `why_not_known`."""
    if look(Donor, donor).registered:
        yield from may_give(look, donor, at).why_not


def age_months(born_on: date, on: date) -> int:
    """Whole months lived on that day."""
    return (on.year - born_on.year) * 12 + on.month - born_on.month - (on.day < born_on.day)


def may_give_again_on(species: str, gave_at: datetime, site: Limits) -> date:
    return day_of(gave_at, site) + timedelta(days=site.whole(f"{species}_draw_interval_days"))


def day_of(moment: datetime, site: Limits) -> date:
    return moment.astimezone(site.zone).date()


def of_today(moment: datetime | None, at: datetime, site: Limits) -> bool:
    return moment is not None and day_of(moment, site) == day_of(at, site)


def _with_waivers(state: Donor, at: datetime, site: Limits, checks: Iterator[Check]) -> Iterator[Check]:
    """In an emergency the veterinarian named may leave checks out, for that one day."""
    waived = state.waived if of_today(state.waived_at, at, site) else None
    for check in checks:
        if waived and check.verdict == MAY_NOT and check.key in waived.checks:
            words = f"{check.words} Waived today by {waived.decided_by}: {waived.reason}"
            yield Check(key=check.key, verdict=WAIVED, words=words, limit=check.limit, source=check.source)
        else:
            yield check


def _checks(
    state: Donor, registered: DonorRegistered, at: datetime, site: Limits, panel: Panel
) -> Iterator[Check]:
    on, name = day_of(at, site), registered.name
    if state.retired:
        words = f"{name} died" if state.retired.died else f"{name} is retired"
        yield Check(key="retired", verdict=MAY_NOT, words=f"{words}: {state.retired.reason}")
    yield from _of_its_age(registered, on, site)
    yield from _of_its_draws(state, registered, at, site)
    yield from _of_today(state, registered, at, site)
    yield from _of_its_deferrals(state, on)
    yield from _of_its_health(state, registered, on, site)
    yield from _of_the_panel(state, registered, on, site, panel)
    yield from _of_consent_and_type(state, registered, site)


def _judged(key: str, good: bool, words: str, if_good: str, limit: str = "", source: str = "") -> Check:
    verdict = MAY if good else MAY_NOT
    return Check(key=key, verdict=verdict, words=if_good if good else words, limit=limit, source=source)


def _as_the_site_asks(
    key: str, good: bool, words: str, if_good: str, limit: str, site: Limits
) -> Iterator[Check]:
    """What the site may leave out, have told, or demand."""
    how = site.text(limit)
    if how != NOT_ASKED:
        verdict = MAY if good else (MAY_NOT if how == MUST else MIND)
        yield Check(key=key, verdict=verdict, words=if_good if good else words, limit=limit)


def _of_its_age(registered: DonorRegistered, on: date, site: Limits) -> Iterator[Check]:
    species, name, months = registered.species, registered.name, age_months(registered.born_on, on)
    least, most = f"{species}_least_age_months", f"{species}_most_age_months"
    told = f"{name} is {months} months old"
    yield _judged(
        "age",
        months >= site.whole(least),
        f"{told}; this site draws from {site.whole(least)} months on.",
        f"{told}: old enough.",
        least,
    )
    yield _judged(
        "age",
        months <= site.whole(most),
        f"{told}; this site draws up to {site.whole(most)} months.",
        f"{told}: not too old.",
        most,
    )


def _of_its_draws(state: Donor, registered: DonorRegistered, at: datetime, site: Limits) -> Iterator[Check]:
    species, name, on = registered.species, registered.name, day_of(at, site)
    interval, yearly = f"{species}_draw_interval_days", f"{species}_most_draws_a_year"
    if state.last_drawn_at is None:
        yield Check(key="interval", verdict=MAY, words=f"{name} has not given yet.", limit=interval)
        return
    gave_on, due_on = (
        day_of(state.last_drawn_at, site),
        may_give_again_on(species, state.last_drawn_at, site),
    )
    told = f"{name} gave on {gave_on:%d %b %Y} and may give again from {due_on:%d %b %Y}."
    yield _judged("interval", on >= due_on, told, told, interval)
    year = [each for each in state.all_gave if on - timedelta(days=365) < day_of(each.at, site) <= on]
    times = {1: "once", 2: "twice"}.get(len(year), f"{len(year)} times")
    many = f"{name} gave {times} in the last 365 days"
    yield _judged(
        "yearly",
        len(year) < site.whole(yearly),
        f"{many}; this site draws at most {site.whole(yearly)} times.",
        f"{many}.",
        yearly,
    )


def _of_today(state: Donor, registered: DonorRegistered, at: datetime, site: Limits) -> Iterator[Check]:
    name, examined = registered.name, state.examined
    if examined is None or not of_today(state.examined_at, at, site):
        yield Check(
            key="measured",
            verdict=MAY_NOT,
            words=f"Weigh {name} and read the PCV first: both must be of today.",
            source="Screened at each visit: UK animal blood bank's guide; a university's page on collecting blood.",
        )
    else:
        yield from _of_the_examination(examined, registered, site)
    answered = state.answered if of_today(state.answered_at, at, site) else None
    yield from _as_the_site_asks(
        "questionnaire",
        answered is not None,
        f"Nobody was asked about {name} today: go through the questions.",
        "The questions were answered today.",
        "questionnaire",
        site,
    )
    for answer in answered.answers if answered else ():
        if answer.answer == YES and (question := BY_KEY.get(answer.key)):
            told = f"{question.short}: {answer.words}" if answer.words else question.short
            verdict = MIND if question.then == MINDED else MAY_NOT
            words = f"Told today: {told}."
            yield Check(key=answer.key, verdict=verdict, words=words, source=question.source)


def _of_the_examination(
    examined: DonorExamined, registered: DonorRegistered, site: Limits
) -> Iterator[Check]:
    species, name, weight_g, pcv = (
        registered.species,
        registered.name,
        examined.weight_g,
        examined.pcv_permille,
    )
    least_g, least_pcv = f"{species}_least_weight_g", f"{species}_least_pcv_permille"
    least_protein = f"{species}_least_total_protein_g_per_l"
    weighs = f"{name} weighs {weight_g / 1000:g} kg"
    on = f"; this site draws from {site.whole(least_g) / 1000:g} kg on."
    yield _judged("weight", weight_g >= site.whole(least_g), f"{weighs}{on}", f"{weighs}.", least_g)
    on = f"; this site draws from {site.whole(least_pcv) / 10:g} % on."
    yield _judged(
        "pcv", pcv >= site.whole(least_pcv), f"PCV {pcv / 10:g} %{on}", f"PCV {pcv / 10:g} %.", least_pcv
    )
    if (protein := examined.total_protein_g_per_l) is not None:
        on, told = (
            f"; this site draws from {site.whole(least_protein)} g/L on.",
            f"Total protein {protein} g/L",
        )
        yield _judged("protein", protein >= site.whole(least_protein), told + on, f"{told}.", least_protein)
    if examined.murmur is not None:
        told = f"A murmur was heard: {name} is no donor."
        yield _judged("murmur", not examined.murmur, told, "No murmur was heard.", source=AFTER_EXCLUSION)
    if (warm := examined.temperature_deci_c) is not None and warm > WARMEST_DECI_C[species]:
        told = f"{warm / 10:g} °C is warmer than usual ({WARMEST_DECI_C[species] / 10:g} °C)."
        yield Check(key="temperature", verdict=MIND, words=told, source="From memory.")


def _of_its_deferrals(state: Donor, on: date) -> Iterator[Check]:
    for deferral in state.deferrals.values():
        before = deferral.no_draw_before
        if before is None:
            yield Check(
                key="deferral", verdict=MAY_NOT, words=f"Deferred until it is lifted: {deferral.reason}"
            )
        elif on < before:
            words = f"Deferred, no draw before {before:%d %b %Y}: {deferral.reason}"
            yield Check(key="deferral", verdict=MAY_NOT, words=words)
    for medicine in state.medicines:
        if medicine.no_draw_before and on < medicine.no_draw_before:
            words = (
                f"{medicine.medicine}, given on {medicine.given_on:%d %b %Y}: "
                f"no draw before {medicine.no_draw_before:%d %b %Y}."
            )
            source = "US military working dog guideline: no medicine except routine preventives."
            yield Check(key="medicine", verdict=MAY_NOT, words=words, source=source)


def _of_its_health(state: Donor, registered: DonorRegistered, on: date, site: Limits) -> Iterator[Check]:
    name, days = registered.name, site.whole("vaccine_deferral_days")
    for vaccine in state.vaccines.values():
        due_on = vaccine.given_on + timedelta(days=days)
        if on < due_on:
            words = f"Vaccinated ({vaccine.vaccine}) on {vaccine.given_on:%d %b %Y}: no draw before {due_on:%d %b %Y}."
            yield Check(key="vaccine-lately", verdict=MAY_NOT, words=words, limit="vaccine_deferral_days")
    over = sorted(each.vaccine for each in state.vaccines.values() if each.valid_until < on)
    told = f"Vaccination over: {', '.join(over)}." if over else f"No vaccination of {name} is written down."
    good = bool(state.vaccines) and not over
    yield from _as_the_site_asks(
        "vaccination", good, told, "Vaccinations are current.", "vaccination_current", site
    )


def _of_the_panel(
    state: Donor, registered: DonorRegistered, on: date, site: Limits, panel: Panel
) -> Iterator[Check]:
    for fact in state.positive.values():
        words = (
            f"Positive for {fact.part}, sample of {fact.taken_on:%d %b %Y}: "
            "what it gave waits, until the veterinarian clears it."
        )
        yield Check(key="positive", verdict=MAY_NOT, words=words)
    missing = list(why_not_in_date(state, registered.species, on, site, panel))
    yield from _as_the_site_asks(
        "panel",
        not missing,
        f"Infectious panel not in date: {'; '.join(missing)}.",
        "The infectious panel is in date.",
        "panel_in_date",
        site,
    )


def why_not_in_date(state: Donor, species: str, on: date, site: Limits, panel: Panel) -> Iterator[str]:
    """The tests of the panel whose last sample is missing, too old, from before a journey, or not negative.

    Agents of which the same is to be said are told in one breath.
    """
    said: dict[tuple[str, str], list[str]] = {}
    for agent, method, why in _not_in_date(state, species, on, site, panel):
        said.setdefault((method, why), []).append(agent)
    for (method, why), agents in said.items():
        yield f"{', '.join(agents)} by {method} {why}"


def _not_in_date(
    state: Donor, species: str, on: date, site: Limits, panel: Panel
) -> Iterator[tuple[str, str, str]]:
    level, days = site.text(f"{species}_panel"), site.whole("panel_interval_days")
    for wanted in panel.wanted(species, level, days):
        named = f"{wanted.agent} by {wanted.method}"
        last = max(
            (each for each in state.tests if each.part == named),
            key=lambda each: each.taken_on,
            default=None,
        )
        if last is None:
            yield wanted.agent, wanted.method, "never tested"
        elif last.result != NEGATIVE:
            yield wanted.agent, wanted.method, last.result
        elif state.returned_on and last.taken_on < state.returned_on:
            yield wanted.agent, wanted.method, "tested before a journey"
        elif last.taken_on + timedelta(days=wanted.interval_days) < on:
            yield wanted.agent, wanted.method, f"tested on {last.taken_on:%d %b %Y}, too long ago"


def _of_consent_and_type(state: Donor, registered: DonorRegistered, site: Limits) -> Iterator[Check]:
    name, version = registered.name, site.text("consent_version")
    if state.consent_withdrawn:
        words = f"The owner withdrew consent: {state.consent_withdrawn}"
        yield Check(key="consent", verdict=MAY_NOT, words=words)
    else:
        given = state.consent.version if state.consent else ""
        told = (
            f"The owner signed version {given} of the consent; version {version} holds now."
            if given
            else f"No consent of {name}'s owner is written down."
        )
        signed = f"The owner signed version {version} of the consent."
        yield from _as_the_site_asks("consent", given == version, told, signed, "consent", site)
    typed = state.typed
    if typed and typed.how == CONFIRMED:
        words = ""
    elif typed:
        words = f"{name} is {typed.blood_type}, {typed.how}: another person reads it a second time."
    else:
        doubt = state.type_in(ON_THE_LABEL[registered.species]).how == IN_DOUBT
        words = "Two readings of the blood type differ: read it a third time." if doubt else ""
        words = words or f"The blood type of {name} is not known."
    good = f"{name} is {typed.blood_type}, {typed.how}." if typed else ""
    yield from _as_the_site_asks("blood-type", not words, words, good, "type_confirmed", site)
