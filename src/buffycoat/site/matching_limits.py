"""What a site decides about finding blood for a patient."""

from buffycoat.site.limit import whole

MATCHING = (
    whole(
        "crossmatch_holds_h",
        "A crossmatch counts for",
        "h",
        72,
        12,
        168,
        "72: the rule of human banks that a sample counts for three days, from memory. Antibodies from day 3 or 4.",
    ),
    whole(
        "most_haemolysis_grade",
        "A crossmatch is compatible up to this haemolysis",
        "of 4",
        0,
        0,
        1,
        "0: the cautious one. A teaching card takes 1+ as compatible and 2+ to 4+ as not.",
    ),
    whole(
        "fever_over_dc",
        "A reaction's fever is over",
        "tenths of a °C",
        390,
        385,
        400,
        "39.0 °C: ISFM 2021 and TRACS 2021, which print 102.5 °F beside it; that is 39.17 °C, so 392.",
    ),
    whole(
        "crossmatch_after_days",
        "A dog that had blood before is crossmatched from this day after it",
        "d",
        3,
        1,
        7,
        "3: US Army guideline for working dogs. Others: more than 4, 4 to 7, at least 5. Some crossmatch every dog.",
    ),
)
