"""How much of the haemoglobin in a bag has left its cells."""

from buffycoat.science.errors import OutOfRange, above, within


def haemolysis_percent(free_g_per_dl: float, total_g_per_dl: float, haematocrit: float) -> float:
    """Give the share of the haemoglobin of a bag that is free, in per cent.

    (1 − Hct) × free / total × 100, for free haemoglobin is measured in the plasma and total in the whole.
    Arguments: free_g_per_dl, in the supernatant, 0 to 25; total_g_per_dl, of the well-mixed bag, above 0 to 30; both in
    the same unit (a plasma value in mg/dL is divided by 1000 first); haematocrit, 0 to 1, and note the method: an
    analyser reads about 11 % higher than the centrifuged tube.
    Raises: OutOfRange outside those ranges, or if more would be free than there is.
    Range: well-mixed bag. Some divide by (1 − Hct) instead, and read three times too much at a haematocrit of 0.45.
    Source: a forum's derivation and a review of 2023; limits 0.8 % (Europe) and 1 % (United States).

    >>> round(haemolysis_percent(0.05, 15, 0.45), 6)
    0.183333
    """
    within("free haemoglobin", free_g_per_dl, 0, 25, "g/dL")
    above("total haemoglobin", total_g_per_dl, 0, 30, "g/dL")
    percent = (1 - within("haematocrit", haematocrit, 0, 1)) * free_g_per_dl / total_g_per_dl * 100
    if percent > 100:
        raise OutOfRange("More haemoglobin would be free than there is in the bag: check the units of both.")
    return percent


def free_haemoglobin_limit_g_per_dl(total_g_per_dl: float, haematocrit: float, limit_percent: float) -> float:
    """Give the free haemoglobin at which a bag reaches a limit of haemolysis.

    free = limit / 100 × total / (1 − Hct). Arguments: as for `haemolysis_percent`; haematocrit 0 to 0.99;
    limit_percent, 0 to 100.
    Raises: OutOfRange outside those ranges.
    Range: the inverse of `haemolysis_percent`.
    Source: own computation: the same formula turned round.

    >>> round(free_haemoglobin_limit_g_per_dl(20, 0.60, 0.8), 6)
    0.4
    """
    above("total haemoglobin", total_g_per_dl, 0, 30, "g/dL")
    within("limit", limit_percent, 0, 100, "%")
    return limit_percent / 100 * total_g_per_dl / (1 - within("haematocrit", haematocrit, 0, 0.99))
