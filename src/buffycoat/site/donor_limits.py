"""The limits of who may give, how often and how much."""

from buffycoat.site.limit import COMMON, Limit, both, whole

OLD_DONORS = "Told and not demanded by default: a bank's old donors come without it."
HOW_ASKED = ("not asked", "told", "must")


def asked(key: str, title: str, source: str) -> Limit:
    """What a site may leave out, have told beside the answer, or demand."""
    return Limit(key=key, title=title, default="told", choices=HOW_ASKED, source=source)


DONORS = (
    *both(
        "least_weight_g",
        "Least weight of a donor",
        "g",
        dog=25_000,
        cat=4_000,
        least=1_000,
        most=60_000,
        source="Giger, WSAVA 2017; UK animal blood bank guide. Others: dog 16 to 27 kg, cat 4.5 kg.",
    ),
    *both(
        "least_pcv_permille",
        "Least PCV of the day",
        "‰",
        dog=400,
        cat=350,
        least=250,
        most=550,
        source="Dog: Giger, WSAVA 2017 (over 40 %). Cat: ISFM 2021, from memory (35 %).",
    ),
    *both(
        "least_age_months",
        "Least age of a donor",
        "months",
        dog=12,
        cat=12,
        least=6,
        most=48,
        source="Most sources: 1 to 8 years. Others: dog from 9 or 10 months.",
    ),
    *both(
        "most_age_months",
        "Greatest age of a donor",
        "months",
        dog=96,
        cat=96,
        least=48,
        most=180,
        source="Most sources: 1 to 8 years. Others: dog to 8.5 years, 4 years in giant breeds.",
    ),
    *both(
        "draw_interval_days",
        "Least time between two draws",
        "days",
        dog=56,
        cat=56,
        least=21,
        most=365,
        source="Sources range from 3 weeks to 6 months; 56 days is the human rule and this program's cautious choice.",
    ),
    *both(
        "blood_volume_ml_per_kg",
        "Blood volume",
        "mL/kg",
        dog=90,
        cat=60,
        least=40,
        most=110,
        source="Dog 80 to 90 (teaching 90); cat 55 to 65 (UK animal blood bank), 66 in dosing texts.",
    ),
    *both(
        "largest_draw_percent",
        "Largest draw, of the blood volume",
        "%",
        dog=20,
        cat=20,
        least=5,
        most=25,
        source="Dog: 15 % without and 20 % with fluids (teaching page 2021). Cat: 20 % (UK animal blood bank guide).",
    ),
    *both(
        "largest_draw_ml_per_kg",
        "Largest draw, of the body weight",
        "mL/kg",
        dog=20,
        cat=12,
        least=5,
        most=25,
        source="Dog: Giger, WSAVA 2017. Cat: 10 to 12 (ISFM 2021, from memory), 11 to 13 (UK guide).",
    ),
    whole(
        "vaccine_deferral_days",
        "No draw after a vaccination for",
        "days",
        14,
        0,
        60,
        "UK practice page for an animal blood bank: 14 days. A US hospital: 4 weeks.",
    ),
    whole(
        "panel_interval_days",
        "A sample of the infectious panel counts for",
        "days",
        365,
        30,
        1_095,
        "Common practice, no source. First donations are positive more often (animal blood bank study, 2021).",
    ),
    *both(
        "most_draws_a_year",
        "Most draws in 365 days",
        "draws",
        dog=6,
        cat=6,
        least=1,
        most=12,
        source="What the interval of 56 days allows. An Italian clinic: 2 to 3 a year.",
    ),
    *both(
        "least_total_protein_g_per_l",
        "Least total protein, where it is read",
        "g/L",
        dog=55,
        cat=55,
        least=40,
        most=70,
        source="From memory, low certainty: 55 to 60 g/L. That it is read at each visit: UK animal blood bank.",
    ),
    *(
        Limit(
            key=f"{species}_panel",
            title=f"Infectious panel, {species}",
            default="minimal",
            choices=("optimal", "minimal", "own only"),
            source="ACVIM 2016 (Wardrop and others): two levels. European lists differ (ISFM 2015, Italy 2016).",
        )
        for species in ("dog", "cat")
    ),
    Limit(
        key="consent_version",
        title="Version of the owner's consent that holds now",
        default="1",
        source="The site's own.",
    ),
    asked("consent", "The owner's consent", "Owner's consent: JAAWS 2006. " + OLD_DONORS),
    asked("questionnaire", "The questions, on the day of the draw", "UK animal blood bank. " + OLD_DONORS),
    asked("vaccination_current", "Vaccinations that are current", "Most sources ask it. " + OLD_DONORS),
    asked("panel_in_date", "The infectious panel in date, before the draw", "ACVIM 2016. " + OLD_DONORS),
    asked("type_confirmed", "The blood type read twice, before the draw", COMMON + " " + OLD_DONORS),
    whole(
        "second_reading_alone_after_min",
        "Where nobody else is there, the same person reads a blood type again after",
        "min",
        10,
        5,
        1_440,
        "This program's choice: long enough to forget the first.",
    ),
    whole(
        "owner_call_days",
        "The owner is called after a draw",
        "days",
        5,
        1,
        21,
        "Study of 3,690 cats' donations (JFMS 2023-24): phone check at day 5.",
    ),
)
