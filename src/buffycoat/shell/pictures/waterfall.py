"""From one total to the next: what came to it and what went, step by step, each beginning where the last one ended."""

from collections.abc import Sequence
from dataclasses import dataclass

from buffycoat.shell.pictures import drawing as d
from buffycoat.shell.pictures.picture import Picture

WIDTH = 1080
_LEFT, _RIGHT, _ROW, _HEAD = 330.0, 980.0, 40.0, 14.0
COMES, GOES, STANDS = "comes", "goes", "stands"


@dataclass(frozen=True, kw_only=True)
class Step:
    """`amount` is never negative; the kind says whether it comes, goes, or is all that stands at that moment."""

    name: str
    amount: int
    kind: str


def draw_waterfall(steps: Sequence[Step], *, unit: str, conclusion: str) -> Picture:
    """One row a step from the top; `conclusion` is the sentence that says what the picture shows."""
    spans = list(_spans(steps))
    most = max((high for _, high in spans), default=0) or 1
    height = _HEAD * 2 + len(steps) * _ROW

    def x(amount: float) -> float:
        return _LEFT + (_RIGHT - _LEFT) * amount / most

    body: list[str] = []
    for i, (step, (low, high)) in enumerate(zip(steps, spans, strict=True)):
        y = _HEAD + i * _ROW
        body.append(d.text(0, y + 24, step.name, bold=step.kind == STANDS))
        body.append(d.rect(x(low), y + 6, max(x(high) - x(low), 2), 24, f"flow flow-{step.kind}"))
        if step.kind == GOES:
            body.append(
                d.rect(x(low), y + 6, max(x(high) - x(low), 2), 24, "life-hatch", fill=d.hatched("strokes"))
            )
        sign = {COMES: "+", GOES: "−", STANDS: ""}[step.kind]
        body.append(d.text(x(high) + 10, y + 24, f"{sign}{step.amount}", bold=True))
        if i + 1 < len(steps):
            at = x(high if step.kind != GOES else low)
            body.append(d.line(at, y + 30, at, y + _ROW + 6, "week"))
    return Picture(
        svg=d.framed(WIDTH, height, "".join(body), conclusion, kind="waterfall"),
        alt=conclusion,
        columns=("Step", unit.capitalize()),
        rows=tuple(
            (step.name, {COMES: "+", GOES: "−", STANDS: ""}[step.kind] + str(step.amount)) for step in steps
        ),
    )


def _spans(steps: Sequence[Step]) -> list[tuple[int, int]]:
    """From where to where each bar reaches."""
    level, spans = 0, []
    for step in steps:
        if step.kind == STANDS:
            level = step.amount
            spans.append((0, level))
        elif step.kind == COMES:
            spans.append((level, level + step.amount))
            level += step.amount
        else:
            spans.append((level - step.amount, level))
            level -= step.amount
    return spans
