"""How many units or donors must be tested to find enough that are compatible."""

import math
from typing import Final, NamedTuple

from scipy import special

from buffycoat.science.errors import above, whole, within

MOST_TESTED: Final = 1_000_000


class Search(NamedTuple):
    """How many to test, beside the usual answer and the chance that it would be enough."""

    number: int
    usual: int
    usual_chance: float


def naive_number(needed: int, compatible_share: float) -> int:
    """Give the usual answer, needed / share; it finds enough only a little more often than not.

    Arguments: needed, 1 to 1000; compatible_share, above 0 to 1, shares of independent traits multiplied.
    Raises: OutOfRange outside those ranges.
    Range: a mean, not a promise: chances of about 56 to 62 % are usual; see `chance_of_enough`.
    Source: a university transfusion module: 4 units, one in five compatible, test 20.

    >>> naive_number(4, 0.20), naive_number(2, 0.20 * 0.22)
    (20, 46)
    """
    whole("number of units needed", needed, 1, 1_000)
    # Rounded first, for 4 / 0.2 must not become 20.000000000000004 and then 21.
    return math.ceil(round(needed / above("compatible share", compatible_share, 0, 1), 9))


def chance_of_enough(tested: int, needed: int, compatible_share: float) -> float:
    """Give the chance that enough of those tested are compatible.

    P(X ≥ needed), X binomial (tested, share). Arguments: tested, 0 to 1 000 000; needed, 1 to 1000; share, 0 to 1.
    Raises: OutOfRange outside those ranges.
    Range: units independent; litter mates are not.
    Source: binomial distribution by the regularised incomplete beta function.

    >>> round(chance_of_enough(20, 4, 0.20), 4)
    0.5886
    """
    whole("number tested", tested, 0, MOST_TESTED)
    whole("number of units needed", needed, 1, 1_000)
    within("compatible share", compatible_share, 0, 1)
    if tested < needed:
        return 0.0
    return float(special.betainc(needed, tested - needed + 1, compatible_share))


def number_to_test(needed: int, compatible_share: float, chance: float = 0.95) -> int:
    """Give the smallest number to test that finds enough with a chosen chance.

    Arguments: as for `naive_number`; chance, above 0 to 0.999999.
    Raises: OutOfRange outside those ranges, or if more than a million would be needed.
    Range: units independent.
    Source: binomial distribution; 4 units, one in five: 37 for 95 %.

    >>> number_to_test(4, 0.20), number_to_test(2, 0.044)
    (37, 106)
    """
    above("chance", chance, 0, 0.999999)
    low, high = needed - 1, naive_number(needed, compatible_share)
    while chance_of_enough(high, needed, compatible_share) < chance:
        low, high = high, 2 * high
    while high - low > 1:
        middle = (low + high) // 2
        if chance_of_enough(middle, needed, compatible_share) < chance:
            low = middle
        else:
            high = middle
    return high


def search(needed: int, compatible_share: float, chance: float = 0.95) -> Search:
    """Give the smallest number to test that finds enough with a chosen chance, beside the usual answer.

    Arguments, errors and range as for `number_to_test`.
    Source: a university transfusion module: 4 units, one in five compatible, test 20, which is enough in 59 of 100
    searches; for 95 test 37.

    >>> found = search(4, 0.20)
    >>> found.number, found.usual, round(found.usual_chance, 4)
    (37, 20, 0.5886)
    """
    usual = naive_number(needed, compatible_share)
    return Search(
        number_to_test(needed, compatible_share, chance),
        usual,
        chance_of_enough(usual, needed, compatible_share),
    )
