"""What a formula's docstring says, in its parts, and the call that its example makes."""

import doctest
import inspect
import re
import sys
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from typing import Any

_MARKERS = re.compile(
    r"(?:(?<=[.;\s])|^)(Arguments, errors and range as for|Arguments and errors as for|"
    r"Arguments:|Raises:|Range:|Source:)\s"
)
_AS_FOR = re.compile(r"Arguments.*? as for (.+?)[.;]")


@dataclass(frozen=True, kw_only=True)
class Explained:
    """The parts of a docstring; a part that is not there is empty."""

    sentence: str
    formula: str = ""
    arguments: str = ""
    raises: str = ""
    range: str = ""
    source: str = ""
    example: str = ""


@cache
def explained(what: Any) -> Explained:
    """Take a docstring apart; arguments and a range that are said to be those of other formulas are theirs.

    >>> from buffycoat.science.weighing import volume_ml_from_mass
    >>> explained(volume_ml_from_mass).formula
    'V = m / ρ.'
    """
    text = inspect.getdoc(what) or ""
    sentence, _, rest = text.partition("\n\n")
    rest, prompt, example = rest.partition(">>>")
    pieces = _MARKERS.split(_joined(rest))
    parts = dict.fromkeys(("arguments", "raises", "range", "source"), "")
    for marker, said in zip(pieces[1::2], pieces[2::2], strict=True):
        name = marker.split()[0].rstrip(":,").lower()
        parts[name] = (said if marker.endswith(":") else f"{marker} {said}").strip()
    if named := _AS_FOR.match(parts["arguments"]):
        others = [
            explained(sys.modules[what.__module__].__dict__[name])
            for name in re.findall(r"`(\w+)`", named[1])
        ]
        more = parts["arguments"][named.end() :].strip()
        parts["range"] = parts["range"] or " ".join(other.range for other in others)
        parts["arguments"] = " ".join([*(other.arguments for other in others), more]).strip()
    return Explained(
        sentence=_joined(sentence), formula=pieces[0].strip(), example=(prompt + example).strip(), **parts
    )


def _joined(text: str) -> str:
    return " ".join(text.split())


@cache
def first_call(function: Callable[..., Any]) -> dict[str, Any]:
    """The arguments, by name, with which the docstring's example first calls its function; none: empty."""
    calls: list[dict[str, Any]] = []
    signature = inspect.signature(function)

    def noting(*given: Any, **named: Any) -> Any:
        calls.append(dict(signature.bind(*given, **named).arguments))
        return function(*given, **named)

    namespace = dict(sys.modules[function.__module__].__dict__) | {function.__name__: noting}
    for example in doctest.DocTestParser().get_examples(function.__doc__ or ""):
        # What an example refuses is shown, too; only the call is wanted here.
        with suppress(ValueError):
            exec(compile(example.source, "example", "exec"), namespace)
        if calls:
            return calls[0]
    return {}
