"""What is asked of whoever brings the donor, at each visit. The keys stay in the book and are never renamed.

The questions are this program's own choice; what a “yes” does has its source beside it.
"""

from dataclasses import dataclass

YES, NO = "yes", "no"
MINDED, DEFERS, FOR_GOOD = "minded", "defers", "for good"


@dataclass(frozen=True, kw_only=True)
class Question:
    """`then` is what a “yes” does: it is minded, it defers for `days`, or it ends giving for good."""

    key: str
    text: str
    short: str
    then: str
    source: str
    days: int = 0
    species: tuple[str, ...] = ("dog", "cat")
    sexes: tuple[str, ...] = ("female", "male")


HOSPITALS = "Donor pages of US hospitals"
COMMON_DAYS = "the days are common practice, no source"
QUESTIONS = (
    Question(
        key="unwell",
        text="Has it been unwell since the last visit: cough, sneezing, vomiting, diarrhoea, off its food?",
        short="unwell lately",
        then=DEFERS,
        days=14,
        source=f"{HOSPITALS}; {COMMON_DAYS}.",
    ),
    Question(
        key="surgery",
        text="Has it had surgery or been injured in the last month?",
        short="surgery or injury",
        then=DEFERS,
        days=30,
        source=f"{HOSPITALS}: one month.",
    ),
    Question(
        key="season",
        text="Is she in season, pregnant or nursing?",
        short="in season, pregnant or nursing",
        then=DEFERS,
        days=60,
        sexes=("female",),
        source=f"{HOSPITALS}; Blais, WSAVA 2019; {COMMON_DAYS}.",
    ),
    Question(
        key="transfused",
        text="Has it ever been given blood or plasma?",
        short="was given blood once",
        then=FOR_GOOD,
        source="UK practice page for an animal blood bank; US military working dog guideline.",
    ),
    Question(
        key="fits",
        text="Has it ever had a fit, fainted, or been found to have a heart disease?",
        short="fits, fainting or heart disease",
        then=FOR_GOOD,
        source="UK practice page for an animal blood bank; US military working dog guideline.",
    ),
    Question(
        key="medicine",
        text="Has it had any medicine, besides its routine preventives?",
        short="medicine: write it down with how long it stands against a draw",
        then=MINDED,
        source="US military working dog guideline: none except routine preventives.",
    ),
    Question(
        key="vaccinated",
        text="Has it been vaccinated since the last visit?",
        short="vaccinated: write it down",
        then=MINDED,
        source="UK practice page: 14 days; a US hospital: 4 weeks.",
    ),
    Question(
        key="travelled",
        text="Has it been abroad or in another region?",
        short="travelled: write it down",
        then=MINDED,
        source="UK practice page; ACVIM 2016: agents go by region.",
    ),
    Question(
        key="ticks",
        text="Has it had fleas or ticks, or been bitten by another animal?",
        short="fleas, ticks or a bite",
        then=MINDED,
        source="ACVIM 2016: Babesia gibsoni by bites, others by ticks and fleas.",
    ),
    Question(
        key="raw",
        text="Does it eat raw meat?",
        short="eats raw meat",
        then=MINDED,
        source="One US hospital takes no donor on a raw diet.",
    ),
    Question(
        key="outdoors",
        text="Does it go outdoors, or live with a cat that does?",
        short="goes outdoors",
        then=MINDED,
        species=("cat",),
        source="Giger, WSAVA 2017: cats that live indoors only.",
    ),
)
BY_KEY = {question.key: question for question in QUESTIONS}


def asked_of(species: str, sex: str) -> tuple[Question, ...]:
    return tuple(each for each in QUESTIONS if species in each.species and sex in each.sexes)
