"""The limits that a site sets for itself, each with its unit, range, default and where the default comes from.

Sources disagree on many of them; `source` names the one behind the default and what others say.
"""

from buffycoat.site.change_limits import CHANGES, OUT_OF_FRIDGE
from buffycoat.site.donor_limits import DONORS
from buffycoat.site.equipment_limits import EQUIPMENT
from buffycoat.site.limit import COMMON, Limit, both, whole
from buffycoat.site.matching_limits import MATCHING
from buffycoat.site.money_limits import MONEY
from buffycoat.site.people_limits import PEOPLE
from buffycoat.site.temperature_limits import TEMPERATURES

__all__ = ["GROUPS", "LIMITS", "Limit"]
HUMAN_DENSITY = (
    "Human convention 1.053 g/mL; also used: 1.06. A teaching table gives dog 1.048 and cat 1.050 at 25 °C."
)

SITE = (
    Limit(key="site_name", title="Name of the blood bank", default="Blood bank", source="The site's own."),
    Limit(
        key="site_code",
        title="Four letters in every code of this site",
        default="HAVN",
        source="The site's own; letters that no keyboard layout moves: A C D E F G H J K M N P Q R T U V W X.",
    ),
    Limit(
        key="time_zone", title="Time zone", default="UTC", source="The site's own; a name of the IANA list."
    ),
)

DRAWS = (
    *both(
        "blood_density_mg_per_ml",
        "Density of whole blood",
        "mg/mL",
        dog=1053,
        cat=1053,
        least=1030,
        most=1070,
        source=HUMAN_DENSITY,
    ),
    whole(
        "usual_range_percent",
        "A bag is filled as wanted within this share of its nominal volume",
        "%",
        10,
        2,
        20,
        "450 ± 45 mL: Giger; Cober 2001; UK Red Book A4.6.",
    ),
    whole(
        "red_cells_only_from_permille",
        "Under-filled bag: red cells only from this share of its nominal volume",
        "‰",
        666,
        500,
        900,
        "300 to 404 mL of 450 mL, 333 to 449 mL of 500 mL: US practice glossary. A UK text does not issue it at all.",
    ),
    whole(
        "longest_draw_min",
        "A longer draw gives no plasma",
        "min",
        15,
        5,
        30,
        "UK Red Book 8.13: over 15 min, no plasma component for clinical use.",
    ),
)

SPINS = (
    whole(
        "bag_depth_mm",
        "Depth of blood in the bucket, along the field, for the estimate of packing",
        "mm",
        100,
        20,
        300,
        "From memory, low certainty: measure a full bag as it stands in your bucket.",
    ),
)

SEPARATION = (
    whole(
        "freezer_clock_h",
        "From the end of the draw to the freezer, fresh frozen plasma",
        "h",
        8,
        4,
        24,
        "21 CFR 640.34: 8 h. Others: 4 to 6 h (Cornell), 6 h (Hohenhaus 2007), 24 h with validation.",
    ),
    whole(
        "plasma_left_percent", "Share of the clear plasma layer left on the red cells", "%", 10, 0, 40, COMMON
    ),
    whole(
        "least_segments",
        "Least number of sealed segments on a unit of red cells",
        "segments",
        3,
        1,
        12,
        COMMON,
    ),
    whole(
        "weighing_tolerance_g",
        "Weighings of one donation may disagree by",
        "g",
        10,
        1,
        50,
        "This program's choice: two readings of a 1 g scale, tubing and one segment. No published figure found.",
    ),
    whole(
        "packed_haematocrit_percent",
        "Haematocrit of the packed red cells after the spin, for the picture",
        "%",
        80,
        60,
        95,
        "US limit for red cells without additive, 0.80; from memory.",
    ),
    whole(
        "red_cell_density_mg_per_ml",
        "Density of red cells",
        "mg/mL",
        1096,
        1080,
        1110,
        "Balga et al., as reported.",
    ),
    whole(
        "plasma_density_mg_per_ml",
        "Density of plasma",
        "mg/mL",
        1027,
        1015,
        1040,
        "Balga et al., as reported; convention 1.026 to 1.027 at 25 °C.",
    ),
    whole(
        "anticoagulant_density_mg_per_ml",
        "Density of the anticoagulant",
        "mg/mL",
        1020,
        1000,
        1040,
        "From memory, low certainty: weigh 10 mL of yours.",
    ),
    whole(
        "additive_density_mg_per_ml",
        "Density of the additive solution",
        "mg/mL",
        1020,
        1000,
        1040,
        "From memory, low certainty: weigh 10 mL of yours.",
    ),
)

SHELF_LIFE = (
    *both(
        "red_cells_additive_days",
        "Red cells in additive",
        "days",
        dog=35,
        cat=28,
        least=1,
        most=42,
        source="Dog: common practice, no source; 28 d (Cornell) to 42 d (UK animal bank). Cat: Blasi-Brugué 2018.",
    ),
    *both(
        "red_cells_cpda1_days",
        "Red cells without additive, CPDA-1",
        "days",
        dog=20,
        cat=21,
        least=1,
        most=35,
        source="Dog: Price 1988 (20 d). Cat: haemolysis low to 21 d (open syringes study). Human rule 35 d.",
    ),
    *both(
        "red_cells_cpd_days",
        "Red cells without additive, CPD, CP2D or ACD",
        "days",
        dog=21,
        cat=21,
        least=1,
        most=21,
        source="21 CFR 610.53: 21 d (also when the additive was lost: Gnanaraj 2023).",
    ),
    *both(
        "whole_blood_cpda1_days",
        "Whole blood, CPDA-1",
        "days",
        dog=28,
        cat=21,
        least=1,
        most=35,
        source="Dog: 28 to 35 d (Chiaramonte 2004; Cornell). Cat: Crestani 2018 and the open syringes study.",
    ),
    *both(
        "whole_blood_cpd_days",
        "Whole blood, CPD, CP2D or ACD",
        "days",
        dog=21,
        cat=21,
        least=1,
        most=21,
        source="21 CFR 610.53; US military working dog guideline: 21 d.",
    ),
    whole(
        "fresh_frozen_plasma_years",
        "Fresh frozen plasma",
        "years",
        1,
        1,
        3,
        "21 CFR 610.53: 1 y at -18 °C or colder. UK: 36 months at -25 °C.",
    ),
    whole(
        "frozen_plasma_years",
        "Frozen plasma, from the draw",
        "years",
        5,
        1,
        7,
        "FDA dating of plasma: 5 y from collection; common practice adds 4 y to the first.",
    ),
    whole("use_first_days", "A unit is marked “use first” when this is left", "days", 7, 1, 30, COMMON),
    whole(
        "settle_alone_after_min",
        "Who reported a problem may settle it alone after this (0: never)",
        "min",
        10,
        0,
        1_440,
        "Our own judgement: a second look by somebody else; alone on duty, one after at least 10 min.",
    ),
)

STORAGE = (
    whole(
        "fridge_least_c", "Fridge, coldest", "°C", 2, 0, 4, "EU, AU: 2 to 6. FDA: 1 to 6. Cornell: 4 to 8."
    ),
    whole(
        "fridge_most_c", "Fridge, warmest", "°C", 6, 4, 10, "EU, AU: 2 to 6. FDA: 1 to 6. Cornell: 4 to 8."
    ),
    whole("freezer_most_c", "Freezer, warmest", "°C", -18, -80, -15, "21 CFR 610.53: -18. UK: -25."),
)

STILL = f"{COMMON} Used where the scale does not say itself that it stands still."
BENCHES = (
    whole("scale_still_g", "A weight is still while its readings stay within", "g", 1, 0, 10, STILL),
    whole("scale_still_ms", "A weight is still after that time", "ms", 1_000, 200, 5_000, STILL),
    whole("scale_hold_ms", "A still weight that fits is taken after", "ms", 1_500, 500, 10_000, COMMON),
    whole("stop_tone_from_g", "The stop tone begins before the stop mass", "g", 30, 5, 200, COMMON),
)

GROUPS: tuple[tuple[str, tuple[Limit, ...]], ...] = (
    ("Site", SITE),
    ("Donors", DONORS),
    ("Draw", DRAWS),
    ("Spins", SPINS),
    ("Separation", SEPARATION),
    ("Shelf life", SHELF_LIFE),
    ("Changes of state", CHANGES),
    ("Storage", (*STORAGE, *OUT_OF_FRIDGE)),
    ("Temperatures", TEMPERATURES),
    ("What units are worth", MONEY),
    ("Benches", BENCHES),
    ("Equipment", EQUIPMENT),
    ("Finding blood", MATCHING),
    ("People", PEOPLE),
)
LIMITS = {limit.key: limit for _, group in GROUPS for limit in group}
