"""What came from what, from left to right: donor, donation, bags, units, each with its status."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from buffycoat.shell.pictures import drawing as d
from buffycoat.shell.pictures.picture import Picture
from buffycoat.shell.pictures.shapes import WORDS, status_of
from buffycoat.shell.pictures.status import TALL as CHIP
from buffycoat.shell.pictures.status import chip

_CARD, _BETWEEN, _APART, _PAD = 236.0, 56.0, 18.0, 12.0


@dataclass(frozen=True, kw_only=True)
class Node:
    """`key` is named by the edges; `struck` draws it dashed: it was written down and no longer counts."""

    key: str
    title: str
    lines: tuple[str, ...] = ()
    status: str = ""
    href: str = ""
    struck: bool = False


Edge = tuple[str, str]  # from parent to child


@dataclass(frozen=True)
class _Card:
    node: Node
    x: float
    y: float
    height: float
    title: list[str]
    lines: list[str]


def draw_family(nodes: Sequence[Node], edges: Sequence[Edge]) -> Picture:
    """Draws every node; those without a parent stand at the left. Raises ValueError for an edge to an unknown node."""
    known = {node.key for node in nodes}
    if strange := [key for edge in edges for key in edge if key not in known]:
        raise ValueError(f"an edge names {strange[0]!r}, which is no node")
    depths = _depths(nodes, edges)
    cards = _placed(nodes, edges, depths)
    width = 4 + (max(depths.values(), default=0) + 1) * (_CARD + _BETWEEN) - _BETWEEN
    height = max((card.y + card.height for card in cards.values()), default=60) + 4
    alt = _alt(nodes, edges)
    body = [_branch(cards[one], cards[other]) for one, other in edges] + [
        _drawn(card) for card in cards.values()
    ]
    linked = any(node.href for node in nodes)
    parents: dict[str, list[str]] = {}
    titles = {node.key: node.title for node in nodes}
    for one, other in edges:
        parents.setdefault(other, []).append(titles[one])
    return Picture(
        svg=d.framed(width, height, "".join(body), alt, kind="family", linked=linked),
        alt=alt,
        columns=("What", "From", "Details", "Status"),
        rows=tuple(
            (
                node.title,
                ", ".join(parents.get(node.key, [])),
                ", ".join((*node.lines, *(("struck",) if node.struck else ()))),
                WORDS[status_of(node.status)] if node.status else "",
            )
            for node in nodes
        ),
    )


def _alt(nodes: Sequence[Node], edges: Sequence[Edge]) -> str:
    ends = [node for node in nodes if node.key not in {one for one, _ in edges} and not node.struck]
    starts = [node.title for node in nodes if node.key not in {other for _, other in edges}]
    told = [
        f"{node.title} ({WORDS[status_of(node.status)].lower()})" if node.status else node.title
        for node in ends
    ]
    if not edges:
        return f"Nothing has come of {', '.join(starts) or 'it'} yet."
    return f"From {', '.join(starts)} came {', '.join(told) or 'nothing that still counts'}."


def _depths(nodes: Sequence[Node], edges: Sequence[Edge]) -> dict[str, int]:
    depths = {node.key: 0 for node in nodes}
    for _ in nodes:
        deeper = {other: depths[one] + 1 for one, other in edges if depths[one] + 1 > depths[other]}
        if not deeper:
            return depths
        depths |= deeper
    raise ValueError("something would be its own ancestor")


def _card(node: Node, x: float) -> _Card:
    room = _CARD - 2 * _PAD
    title = d.wrapped(node.title, d.PLAIN, room)
    lines = [part for line in node.lines for part in d.wrapped(line, d.SMALL, room)]
    height = (
        2 * _PAD + (len(title) * d.PLAIN + len(lines) * d.SMALL) * d.LINE + (CHIP + 6 if node.status else 0)
    )
    return _Card(node, x, 0, height, title, lines)


def _placed(nodes: Sequence[Node], edges: Sequence[Edge], depths: dict[str, int]) -> dict[str, _Card]:
    """Children stand together and their parent at their middle, unless a card in that column is in the way."""
    loose = {node.key: _card(node, 2 + depths[node.key] * (_CARD + _BETWEEN)) for node in nodes}
    foot: dict[int, float] = {}
    placed: dict[str, _Card] = {}

    def place(key: str, at_least: float) -> _Card:
        if key in placed:
            return placed[key]
        card, column = loose[key], depths[key]
        start = max(foot.get(column, 2.0), at_least)
        children = [place(child, start) for child in _children(key, edges, depths) if child not in placed]
        wanted = start
        if children:
            middle = (children[0].y + children[-1].y + children[-1].height) / 2
            wanted = max(start, middle - card.height / 2)
        placed[key] = _Card(card.node, card.x, wanted, card.height, card.title, card.lines)
        foot[column] = wanted + card.height + _APART
        return placed[key]

    for node in nodes:
        if depths[node.key] == 0:
            place(node.key, max(foot.values(), default=2.0) if foot else 2.0)
    return {node.key: placed[node.key] for node in nodes}


def _children(key: str, edges: Sequence[Edge], depths: dict[str, int]) -> Iterator[str]:
    """A child of several parents stands beside the one nearest to it."""
    for one, other in edges:
        if one == key and depths[other] == depths[key] + 1:
            yield other


def _branch(one: _Card, other: _Card) -> str:
    x1, y1 = one.x + _CARD, one.y + one.height / 2
    x2, y2 = other.x, other.y + other.height / 2
    bend = x2 - _BETWEEN / 2
    kind = "branch branch-struck" if other.node.struck else "branch"
    if abs(y2 - y1) < 1:
        return d.line(x1, y1, x2, y1, kind)
    corner = min(10.0, abs(y2 - y1) / 2) * (1 if y2 > y1 else -1)
    round_ = abs(corner)
    return d.path(
        f"M{x1:.1f} {y1:.1f}H{bend - round_:.1f}Q{bend:.1f} {y1:.1f} {bend:.1f} {y1 + corner:.1f}"
        f"V{y2 - corner:.1f}Q{bend:.1f} {y2:.1f} {bend + round_:.1f} {y2:.1f}H{x2:.1f}",
        kind,
    )


def _drawn(card: _Card) -> str:
    node, x = card.node, card.x + _PAD
    y = card.y + _PAD + d.PLAIN * 0.95
    kind = "card-struck" if node.struck else "card"
    drawn = [d.rect(card.x, card.y, _CARD, card.height, kind, corner=4)]
    drawn.append(d.lines_of_text(x, y, card.title, bold=True, kind="words-struck" if node.struck else ""))
    y += len(card.title) * d.PLAIN * d.LINE
    drawn.append(d.lines_of_text(x, y, card.lines, size=d.SMALL))
    if node.status:
        drawn.append(chip(x, card.y + card.height - _PAD - CHIP + 2, node.status))
    whole = "".join(drawn)
    return f'<a href="{d.safe(node.href)}">{whole}</a>' if node.href else whole
