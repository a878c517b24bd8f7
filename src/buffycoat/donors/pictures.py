"""The course of a donor's weight and PCV, and the weeks in which each donor may give."""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from buffycoat.donors.calendar import MAY, STOPPED, WEEKS, DonorWeeks
from buffycoat.donors.facts import DonorBroughtIn, DonorExamined, DonorGaveBefore
from buffycoat.journal.book import standing
from buffycoat.shell.fields import site_zone
from buffycoat.shell.pictures import drawing as d
from buffycoat.shell.pictures.picture import Picture
from buffycoat.shell.words import day, kilograms, permille_as_percent

WIDTH, LEFT, RIGHT = 780.0, 90.0, 760.0
TOP, HEIGHT, GAP = 34.0, 110.0, 60.0
NAMES, CELL, HEAD, ROW = 190.0, 58.0, 40.0, 34.0


def curve(stream: str) -> Picture | None:
    """Weight above, PCV below, over the days on which they were taken; None with fewer than two days."""
    taken = sorted(_taken(stream), key=lambda each: each[0])
    if len(taken) < 2:
        return None
    first, last = taken[0][0], taken[-1][0]
    weights = [(on, weight_g, kilograms(weight_g)) for on, weight_g, _ in taken if weight_g is not None]
    pcvs = [(on, pcv, permille_as_percent(pcv)) for on, _, pcv in taken if pcv is not None]
    body = _panel("Weight", weights, first, last, TOP)
    body += _panel("PCV", pcvs, first, last, TOP + HEIGHT + GAP)
    height = TOP + 2 * HEIGHT + GAP + 30
    body.append(d.text(LEFT, height - 6, day(first), size=d.SMALL, kind="words-soft"))
    body.append(d.text(RIGHT, height - 6, day(last), size=d.SMALL, anchor="end", kind="words-soft"))
    told = [
        f"{what} from {taken_then[0][2]} to {taken_then[-1][2]}"
        for what, taken_then in (("weight", weights), ("PCV", pcvs))
        if taken_then
    ]
    alt = f"{len(taken)} visits: {', '.join(told)}."
    rows = tuple(
        (
            day(on),
            "" if weight_g is None else kilograms(weight_g),
            "" if pcv is None else permille_as_percent(pcv),
        )
        for on, weight_g, pcv in taken
    )
    svg = d.framed(WIDTH, height, "".join(body), alt, kind="course")
    return Picture(svg=svg, alt=alt, columns=("Day", "Weight", "PCV"), rows=rows)


def _taken(stream: str) -> Iterator[tuple[date, int | None, int | None]]:
    """Weight and PCV by day; a list brought in may have had only one of them."""
    for line in standing(stream):
        match line.fact:
            case (
                DonorExamined(weight_g=weight_g, pcv_permille=pcv)
                | DonorGaveBefore(weight_g=weight_g, pcv_permille=pcv)
            ):
                on: date | None = line.happened_at.astimezone(site_zone()).date()
            case DonorBroughtIn(weight_g=weight_g, pcv_permille=pcv, measured_on=on):
                pass
            case _:
                continue
        if on and (weight_g is not None or pcv is not None):
            yield on, weight_g, pcv


def _panel(
    title: str, taken: Sequence[tuple[date, int, str]], first: date, last: date, top: float
) -> list[str]:
    """One line of dots; the least and the greatest value stand at the left."""
    drawn = [d.text(LEFT, top - 8, title, bold=True), d.line(LEFT, top + HEIGHT, RIGHT, top + HEIGHT, "week")]
    if not taken:
        return drawn
    values = [value for _, value, _ in taken]
    least, most = min(values), max(values)
    span, length = most - least, max((last - first).days, 1)

    def at(on: date, value: int) -> tuple[float, float]:
        x = LEFT + (RIGHT - LEFT) * (on - first).days / length
        share = (value - least) / span if span else 0.5
        return x, top + HEIGHT - 12 - (HEIGHT - 24) * share

    places = [at(on, value) for on, value, _ in taken]
    for value in dict.fromkeys((most, least)):
        words = next(words for _, each, words in taken if each == value)
        drawn.append(d.text(LEFT - 10, at(first, value)[1] + 6, words, size=d.SMALL, anchor="end"))
    drawn.append(d.path("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in places), "course-line"))
    return drawn + [d.circle(x, y, 5, "time-dot") for x, y in places]


def weeks(found: Sequence[DonorWeeks], today: date) -> Picture:
    """One row a donor, one cell a week: filled where it may give, hatched where it is deferred."""
    monday = today - timedelta(days=today.weekday())
    width, height = NAMES + WEEKS * CELL + 4, HEAD + len(found) * ROW + 8
    starts = [monday + timedelta(days=7 * number) for number in range(WEEKS)]
    body = [
        d.text(NAMES + (i + 0.5) * CELL, 24, day(on)[:-5], size=d.SMALL, anchor="middle")
        for i, on in enumerate(starts)
        if i % 2 == 0
    ]
    for i, each in enumerate(found):
        y = HEAD + i * ROW
        name, *rest = d.wrapped(each.row.name, d.SMALL, NAMES - 28)
        body.append(d.text(0, y + 22, f"{name} …" if rest else name, size=d.SMALL, bold=True))
        for number, kind in enumerate(each.weeks):
            x = NAMES + number * CELL
            body.append(d.rect(x + 2, y + 4, CELL - 4, ROW - 8, "life" if kind == MAY else "week-empty"))
            if kind == STOPPED:
                body.append(d.rect(x + 2, y + 4, CELL - 4, ROW - 8, "life-hatch", fill=d.hatched("strokes")))
    now = sum(1 for each in found if each.on and each.on <= today)
    stopped = sum(1 for each in found if each.on is None)
    alt = f"{now} of {len(found)} donors may give now by the calendar; {stopped} deferred or too old."
    rows = tuple(
        (
            each.row.name,
            each.row.species,
            each.row.blood_type,
            day(each.on) if each.on else "not by any day",
            each.because,
        )
        for each in found
    )
    svg = d.framed(width, height, "".join(body), alt, kind="weeks")
    return Picture(
        svg=svg, alt=alt, columns=("Donor", "Species", "Type", "From", "Why not before"), rows=rows
    )
