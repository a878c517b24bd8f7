"""What one limit is."""

from dataclasses import dataclass

COMMON = "Common practice, no source."


@dataclass(frozen=True, kw_only=True)
class Limit:
    """One setting. A number is a whole number of `unit`; a text is free, or one of the choices."""

    key: str
    title: str
    unit: str = ""
    default: int | str
    least: int = 0
    most: int = 0
    choices: tuple[str, ...] = ()
    source: str


def both(
    key: str, title: str, unit: str, *, dog: int, cat: int, least: int, most: int, source: str
) -> tuple[Limit, ...]:
    """The same limit for dogs and for cats."""
    return tuple(
        Limit(
            key=f"{species}_{key}",
            title=f"{title}, {species}",
            unit=unit,
            default=default,
            least=least,
            most=most,
            source=source,
        )
        for species, default in (("dog", dog), ("cat", cat))
    )


def whole(key: str, title: str, unit: str, default: int, least: int, most: int, source: str) -> Limit:
    return Limit(key=key, title=title, unit=unit, default=default, least=least, most=most, source=source)
