"""What a drawing function gives back."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Picture:
    """`alt` states the conclusion; `columns` and `rows` hold everything the drawing holds."""

    svg: str
    alt: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
