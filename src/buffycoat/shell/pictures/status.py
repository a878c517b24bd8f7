"""A status chip inside a drawing."""

from buffycoat.shell.pictures import drawing as d
from buffycoat.shell.pictures.shapes import WORDS, shape, status_of

TALL = 28.0


def chip(x: float, y: float, status: str) -> str:
    key = status_of(status)
    word = WORDS[key]
    return (
        f'<g class="pic-chip chip-{key}">{d.rect(x, y, width_of_chip(status), TALL, "chip-box", corner=5)}'
        f'<svg x="{x + 6:.1f}" y="{y + 4:.1f}" width="20" height="20" viewBox="0 0 20 20">{shape(key)}</svg>'
        f"{d.text(x + 31, y + 20, word, size=d.SMALL, bold=True)}</g>"
    )


def width_of_chip(status: str) -> float:
    return 31 + d.width_of(WORDS[status_of(status)], d.SMALL) + 6
