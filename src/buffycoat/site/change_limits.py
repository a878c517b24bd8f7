"""What a site sets for changes of state and for the time out of the fridge. Sources disagree on many of them."""

from buffycoat.site.limit import Limit, whole

BY_TIME, BY_SURFACE = "time", "surface temperature"
NEVER, WHILE_COLD = "never", "while cold"

CHANGES = (
    whole("thaw_bath_least_c", "Thaw: coldest water bath", "°C", 33, 20, 37, "UK: 33 to 37 °C."),
    whole(
        "thaw_bath_most_c",
        "Thaw: warmest water bath",
        "°C",
        37,
        30,
        40,
        "37 °C: UK animal bank, UK Red Book. Warmer water harms the clotting factors.",
    ),
    whole(
        "thaw_most_min",
        "Thaw: longest time in the bath",
        "min",
        30,
        5,
        90,
        "Common practice, no source; a page of questions to a human blood bank: 20 min at 37 °C.",
    ),
    whole(
        "thawed_plasma_h",
        "Thawed plasma, in the fridge",
        "h",
        24,
        4,
        672,
        "UK Red Book: 24 h at 4 °C, to 120 h where validated. US: 5 d. Dog: factors at least 50 % to 28 d "
        "(JVECC 2021); labile ones to 14 d (a supplier).",
    ),
    Limit(
        key="refreeze",
        title="Thawed plasma may be frozen again, as frozen plasma",
        default=NEVER,
        choices=(NEVER, WHILE_COLD),
        source="UK Red Book: never. A supplier: while still cold, below 10 °C (or 12 °C, on the same page).",
    ),
    whole(
        "refreeze_most_c",
        "Frozen again only if its surface is no warmer than",
        "°C",
        10,
        2,
        12,
        "A supplier gives 10 °C and 12 °C for the same decision; the colder one.",
    ),
    whole(
        "opened_h",
        "An opened unit, in the fridge",
        "h",
        24,
        1,
        24,
        "21 CFR 610.53 and Giger 2017: 24 h at 1 to 6 °C. UK animal bank: 4 h once at room temperature.",
    ),
    whole(
        "irradiated_days",
        "An irradiated unit, from then on at most",
        "days",
        28,
        1,
        28,
        "21 CFR 610.53: 28 d, or its own date if that comes first.",
    ),
    whole(
        "cryoprecipitate_years", "Cryoprecipitate, from the draw", "years", 1, 1, 3, "21 CFR 610.53; Cornell."
    ),
    whole(
        "cryo_poor_plasma_years",
        "Cryo-poor plasma, from the draw",
        "years",
        1,
        1,
        5,
        "21 CFR 610.53; Cornell.",
    ),
    whole(
        "parts_tolerance_g",
        "The parts of a divided unit may weigh less than it did by",
        "g",
        5,
        1,
        30,
        "This program's choice: what stays in tubing and bag. No published figure found.",
    ),
)

OUT_OF_FRIDGE = (
    Limit(
        key="return_by",
        title="Back into the fridge is decided by",
        default=BY_TIME,
        choices=(BY_TIME, BY_SURFACE),
        source="Time: AABB, as reported from Australia. Surface: Dutch table. A unit reached 10 °C in about 15 min, "
        "small ones sooner (Perry 2010).",
    ),
    whole(
        "out_each_min",
        "Longest time out of the fridge at once",
        "min",
        30,
        5,
        60,
        "30 min: AABB, as reported from Australia. 60 min, three times at most: Thomas 2013.",
    ),
    whole(
        "out_total_min",
        "Longest time out of the fridge in all, over its life",
        "min",
        90,
        5,
        300,
        "Three times 30 min, after Thomas 2013 (three times at most). UK animal bank: once, up to 5 h, below 10 °C.",
    ),
    whole(
        "return_most_c",
        "Back into the fridge up to a surface of",
        "°C",
        10,
        6,
        12,
        "10 °C: Dutch table, UK animal bank, Perry 2010.",
    ),
)
