"""What can be printed, by name: each chapter says how its paper is made, and whether it is still wanted."""

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Document:
    """`settled` says in words why it need not be printed any more: `scanned back`, `copy 2 was printed since`.

    `counted`: only the scan-back settles it, and a second paper is a copy with a number of its own.
    """

    title: str
    pdf: Callable[[], bytes]
    settled: str = ""
    counted: bool = False


Maker = Callable[[str], "Document | None"]
_MAKERS: dict[str, Maker] = {}


def made_by(kind: str) -> Callable[[Maker], Maker]:
    def register(maker: Maker) -> Maker:
        _MAKERS[kind] = maker
        return maker

    return register


def document(name: str) -> Document | None:
    """`label/UKTRA…/2` is what the maker of labels makes of `UKTRA…/2`; None if there is nothing of that name."""
    kind, _, rest = name.partition("/")
    return _MAKERS[kind](rest) if kind in _MAKERS else None
