"""The course of a donor's weight and PCV, and the weeks in which each donor may give."""

from collections.abc import Sequence
from datetime import date, timedelta

from buffycoat.donors.calendar import MAY, STOPPED, WEEKS, DonorWeeks
from buffycoat.donors.facts import DonorExamined
from buffycoat.journal.book import standing
from buffycoat.shell.fields import site_zone
from buffycoat.shell.pictures import drawing as d
from buffycoat.shell.pictures.picture import Picture
from buffycoat.shell.words import day, kilograms, permille_as_percent

WIDTH, LEFT, RIGHT = 780.0, 90.0, 760.0
TOP, HEIGHT, GAP = 34.0, 110.0, 60.0
NAMES, CELL, HEAD, ROW = 190.0, 58.0, 40.0, 34.0


def curve(stream: str) -> Picture | None:
    """Weight above, PCV below, over the days on which they were taken; None with fewer than two."""
    taken = [
        (line.happened_at.astimezone(site_zone()).date(), line.fact)
        for line in standing(stream)
        if isinstance(line.fact, DonorExamined)
    ]
    taken.sort(key=lambda each: each[0])
    if len(taken) < 2:
        return None
    days = [on for on, _ in taken]
    weights, pcvs = [fact.weight_g for _, fact in taken], [fact.pcv_permille for _, fact in taken]
    body = _panel("Weight", days, weights, [kilograms(each) for each in weights], TOP)
    body += _panel("PCV", days, pcvs, [permille_as_percent(each) for each in pcvs], TOP + HEIGHT + GAP)
    height = TOP + 2 * HEIGHT + GAP + 30
    body.append(d.text(LEFT, height - 6, day(days[0]), size=d.SMALL, kind="words-soft"))
    body.append(d.text(RIGHT, height - 6, day(days[-1]), size=d.SMALL, anchor="end", kind="words-soft"))
    alt = (
        f"{len(taken)} visits: weight from {kilograms(weights[0])} to {kilograms(weights[-1])}, "
        f"PCV from {permille_as_percent(pcvs[0])} to {permille_as_percent(pcvs[-1])}."
    )
    rows = tuple((day(on), kilograms(f.weight_g), permille_as_percent(f.pcv_permille)) for on, f in taken)
    svg = d.framed(WIDTH, height, "".join(body), alt, kind="course")
    return Picture(svg=svg, alt=alt, columns=("Day", "Weight", "PCV"), rows=rows)


def _panel(
    title: str, days: Sequence[date], values: Sequence[int], words: Sequence[str], top: float
) -> list[str]:
    """One line of dots; the least and the greatest value stand at the left."""
    least, most = min(values), max(values)
    span, length = max(most - least, 1), max((days[-1] - days[0]).days, 1)

    def at(on: date, value: int) -> tuple[float, float]:
        x = LEFT + (RIGHT - LEFT) * (on - days[0]).days / length
        return x, top + HEIGHT - 12 - (HEIGHT - 24) * (value - least) / span

    places = [at(on, value) for on, value in zip(days, values, strict=True)]
    drawn = [d.text(LEFT, top - 8, title, bold=True), d.line(LEFT, top + HEIGHT, RIGHT, top + HEIGHT, "week")]
    for value in dict.fromkeys((most, least)):
        drawn.append(
            d.text(
                LEFT - 10, at(days[0], value)[1] + 6, words[values.index(value)], size=d.SMALL, anchor="end"
            )
        )
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
        body.append(
            d.text(0, y + 22, d.wrapped(each.row.name, d.SMALL, NAMES - 12)[0], size=d.SMALL, bold=True)
        )
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
