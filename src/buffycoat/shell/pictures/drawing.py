"""The few strokes that every picture is made of. Colours come from classes, so that themes and print need no redrawing.

Text is placed by a table of letter widths that is a little too wide for every usual sans serif, so that what fits here
fits on the page.
"""

import zlib
from collections.abc import Sequence
from html import escape

SMALL, PLAIN, LARGE = 17, 18, 22
LINE = 1.28  # line height in parts of the size
_DRAWN_ID = "\ue000"  # stands for the picture's own id until it is framed; not printable, so no text has it

_WIDTHS = {
    0.28: "'ijl",
    0.32: " ,.·‘’:;|If\u00a0\u202f",
    0.36: "()[]-/\\",
    0.40: "!rt",
    0.48: "*°?sz–",
    0.52: '"“”FJL_c',
    0.56: "TY`aekovxy",
    0.60: "$0123456789{}EKPSbdgpqhnuµ",
    0.64: "AVBCRXZ",
    0.68: "HNU",
    0.72: "&DGOQ",
    0.76: "#+<=>^~±×−→w",
    0.80: "M",
    0.88: "%m½",
    0.92: "@—W",
    1.24: "‰",
}
_WIDTH = {letter: width for width, letters in _WIDTHS.items() for letter in letters}


def width_of(words: str, size: float) -> float:
    return size * sum(_WIDTH.get(letter, 1.0) for letter in words)


def wrapped(words: str, size: float, room: float) -> list[str]:
    """The words in lines that fit the room; a word too long for it is broken."""
    lines: list[str] = []
    line = ""
    for word in words.split(" "):
        longer = f"{line} {word}" if line else word
        if width_of(longer, size) <= room:
            line = longer
            continue
        if line:
            lines.append(line)
        while width_of(word, size) > room and len(word) > 1:
            cut = next(n for n in range(len(word) - 1, 0, -1) if n == 1 or width_of(word[:n], size) <= room)
            lines.append(word[:cut])
            word = word[cut:]
        line = word
    return [*lines, line] if line or not lines else lines


def safe(words: str) -> str:
    """Escaped, and without the signs that no page can show."""
    return escape("".join(letter for letter in words if letter.isprintable() or letter in "\u00a0\u202f"))


def text(
    x: float,
    y: float,
    words: str,
    *,
    size: float = PLAIN,
    bold: bool = False,
    anchor: str = "start",
    kind: str = "",
) -> str:
    """Words on one line; `y` is the foot of the letters."""
    weight = ' font-weight="600"' if bold else ""
    named = f' class="{kind}"' if kind else ""
    side = f' text-anchor="{anchor}"' if anchor != "start" else ""
    return f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size:g}"{weight}{side}{named}>{safe(words)}</text>'


def lines_of_text(
    x: float, y: float, lines: Sequence[str], *, size: float = PLAIN, bold: bool = False, kind: str = ""
) -> str:
    return "".join(
        text(x, y + i * size * LINE, line, size=size, bold=bold, kind=kind) for i, line in enumerate(lines)
    )


def rect(
    x: float, y: float, width: float, height: float, kind: str, *, corner: float = 0, fill: str = ""
) -> str:
    rounded = f' rx="{corner:g}"' if corner else ""
    return f'<rect x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.1f}"{rounded} class="{kind}"{fill}/>'


def circle(x: float, y: float, radius: float, kind: str, *, fill: str = "") -> str:
    return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" class="{kind}"{fill}/>'


def line(x1: float, y1: float, x2: float, y2: float, kind: str) -> str:
    return f'<path d="M{x1:.1f} {y1:.1f}L{x2:.1f} {y2:.1f}" class="{kind}"/>'


def path(steps: str, kind: str) -> str:
    return f'<path d="{steps}" class="{kind}"/>'


def polygon(points: Sequence[tuple[float, float]], kind: str, fill: str = "") -> str:
    corners = " ".join(f"{x:.2f},{y:.2f}" for x, y in points)
    return f'<polygon points="{corners}" class="{kind}"{fill}/>'


def hatched(pattern: str) -> str:
    """The attribute that fills a shape with one of the patterns below."""
    return f' fill="url(#{pattern}-{_DRAWN_ID})"'


_PATTERNS = {
    "strokes": ("8", "8", '<path d="M-2 2 2-2M0 8 8 0M6 10 10 6" class="hatch"/>'),
    "dots": ("7", "7", '<circle cx="3.5" cy="3.5" r="1.1" class="hatch-dot"/>'),
    "waves": ("10", "9", '<path d="M0 4.5h6" class="hatch"/>'),
    "net": ("7", "7", '<path d="M0 7 7 0M0 0 7 7" class="hatch"/>'),
}


def framed(width: float, height: float, body: str, alt: str, *, kind: str, linked: bool = False) -> str:
    """The whole SVG. Its least width on a page keeps the smallest letters at 14 px."""
    mark = f"{zlib.crc32(body.encode()):08x}"
    patterns = "".join(
        f'<pattern id="{name}-{mark}" width="{w}" height="{h}" patternUnits="userSpaceOnUse">{drawn}</pattern>'
        for name, (w, h, drawn) in _PATTERNS.items()
        if f"url(#{name}-" in body
    )
    least = -(-int(width * 14 / SMALL) // 80) * 80
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height:.0f}" width="{width:.0f}" '
        f'height="{height:.0f}" role="{"group" if linked else "img"}" aria-label="{safe(alt)}" '
        f'class="pic pic-{kind} pic-least-{least}">'
        f"{f'<defs>{patterns}</defs>' if patterns else ''}{body.replace(_DRAWN_ID, mark)}</svg>"
    )


def spread(wanted: Sequence[float], heights: Sequence[float], top: float, bottom: float) -> list[float]:
    """Moves boxes, whose middles want to be at `wanted` (in order), so far that none overlaps another."""
    middles: list[float] = []
    floor = top
    for middle, height in zip(wanted, heights, strict=True):
        middles.append(max(middle, floor + height / 2))
        floor = middles[-1] + height / 2
    ceiling = bottom
    for i in reversed(range(len(middles))):
        middles[i] = min(middles[i], ceiling - heights[i] / 2)
        ceiling = middles[i] - heights[i] / 2
    return middles
