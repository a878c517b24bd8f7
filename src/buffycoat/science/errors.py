"""Refusals of the science: one sentence that says what is wrong and what would be right."""


class OutOfRange(ValueError):
    """A value lies outside the range for which a formula holds; the message says why in words."""


def number(value: float) -> str:
    """Write a number the short way, with a decimal point only where it carries something.

    >>> number(450.0), number(0.45), number(1.0535)
    ('450', '0.45', '1.0535')
    """
    return f"{value:.10g}"


def within(what: str, value: float, low: float, high: float, unit: str = "") -> float:
    """Give the value back if `low <= value <= high`; otherwise raise OutOfRange.

    >>> within("radius", 250, 1, 1000, "mm")
    250
    >>> within("radius", -3, 1, 1000, "mm")
    Traceback (most recent call last):
    ...
    buffycoat.science.errors.OutOfRange: The radius must be between 1 and 1000 mm; -3 mm is not.
    """
    if not low <= value <= high:
        space = f" {unit}" if unit else ""
        raise OutOfRange(
            f"The {what} must be between {number(low)} and {number(high)}{space}; {number(value)}{space} is not."
        )
    return value


def above(what: str, value: float, floor: float, high: float, unit: str = "") -> float:
    """Give the value back if `floor < value <= high`; otherwise raise OutOfRange.

    >>> above("density", 1.05, 0, 3, "g/mL")
    1.05
    >>> above("density", 0, 0, 3, "g/mL")
    Traceback (most recent call last):
    ...
    buffycoat.science.errors.OutOfRange: The density must be more than 0 and at most 3 g/mL; 0 g/mL is not.
    """
    if not floor < value <= high:
        space = f" {unit}" if unit else ""
        raise OutOfRange(
            f"The {what} must be more than {number(floor)} and at most {number(high)}{space}; "
            f"{number(value)}{space} is not."
        )
    return value


def whole(what: str, value: int, low: int, high: int) -> int:
    """Give a whole number back if it lies in the range; a fraction, a truth value or text is refused.

    >>> whole("number of places", 6, 2, 48)
    6
    >>> whole("number of places", 2.5, 2, 48)
    Traceback (most recent call last):
    ...
    buffycoat.science.errors.OutOfRange: The number of places must be a whole number from 2 to 48; 2.5 is not.
    """
    if not isinstance(value, int) or isinstance(value, bool) or not low <= value <= high:
        raise OutOfRange(f"The {what} must be a whole number from {low} to {high}; {value} is not.")
    return value
