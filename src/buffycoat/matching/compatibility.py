"""What blood fits whom: a table for dog and cat, red cells, whole blood and plasma. The first row that suits counts.

Where sources differ, the cautious one is the row and the other is named. A pair without a row is never given.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from buffycoat.separation import rules as separation

FITS, SECOND, AVOID, NEVER = "fits", "second choice", "avoid", "never"
VERDICTS = (FITS, SECOND, AVOID, NEVER)
RED_CELLS, WHOLE_BLOOD, PLASMA = "red cells", "whole blood", "plasma"
WITH_CELLS = (RED_CELLS, WHOLE_BLOOD)
KINDS = (*WITH_CELLS, PLASMA)
KIND_OF_PART = {  # what a part of a donation is to a patient
    separation.RED_CELLS: RED_CELLS,
    separation.WHOLE_BLOOD: WHOLE_BLOOD,
    separation.PLASMA: PLASMA,
}
UNKNOWN = "type not known"
POSITIVE, NEGATIVE = "DEA 1 positive", "DEA 1 negative"

DOG_CELLS = "Clinical practice guideline for military working dogs (US Army); UK practice."
DOG_PLASMA = (
    "Santo-Domingo and Lewis 2021: 170 dogs, 16 reacted, mostly mildly; matching judged perhaps unnecessary."
)
CAT_CELLS = "Knottenbelt 2002; a UK animal blood bank's page on typing."
CAT_AB = f"{CAT_CELLS} A students' page calls AB cats universal recipients; the cautious rule is taken."
CAT_MINOR = "Spada 2014: a minor reaction is likely."
CAT_PLASMA = "ISFM 2021 and suppliers: plasma of cats is matched by type. Antibodies: Blais 2019."
MEMORY = "From memory: AB cells are rare, packed A cells are the usual second choice."


@dataclass(frozen=True, kw_only=True)
class Rule:
    """`patient` and `donor` are the types that the row is for; empty: any."""

    species: str
    kinds: tuple[str, ...]
    patient: str
    donor: str
    verdict: str
    because: str
    source: str

    def suits(self, species: str, kind: str, patient: str, donor: str) -> bool:
        return (
            (self.species, self.patient or patient, self.donor or donor) == (species, patient, donor)
        ) and kind in self.kinds


def _rule(
    species: str, kinds: tuple[str, ...], patient: str, donor: str, verdict: str, because: str, source: str
) -> Rule:
    return Rule(
        species=species,
        kinds=kinds,
        patient=patient,
        donor=donor,
        verdict=verdict,
        because=because,
        source=source,
    )


DOG = (
    _rule(
        "dog", WITH_CELLS, POSITIVE, POSITIVE, FITS, "same type; keeps negative blood for others", DOG_CELLS
    ),
    _rule("dog", WITH_CELLS, POSITIVE, NEGATIVE, FITS, "negative cells carry no DEA 1", DOG_CELLS),
    _rule("dog", WITH_CELLS, NEGATIVE, NEGATIVE, FITS, "same type", DOG_CELLS),
    _rule(
        "dog",
        WITH_CELLS,
        NEGATIVE,
        POSITIVE,
        AVOID,
        "sensitises the patient: a later transfusion may destroy the cells at once",
        DOG_CELLS,
    ),
    _rule("dog", WITH_CELLS, UNKNOWN, NEGATIVE, FITS, "safe for either type", DOG_CELLS),
    _rule(
        "dog",
        WITH_CELLS,
        UNKNOWN,
        POSITIVE,
        AVOID,
        "a patient that is not typed counts as negative",
        DOG_CELLS,
    ),
    _rule("dog", (PLASMA,), "", "", FITS, "plasma of dogs is usually not matched by type", DOG_PLASMA),
)
CAT = (
    _rule(
        "cat", KINDS, UNKNOWN, "", NEVER, "no type is safe for every cat: type the patient first", CAT_CELLS
    ),
    _rule("cat", KINDS, "A", "A", FITS, "same type", CAT_CELLS),
    _rule("cat", KINDS, "B", "B", FITS, "same type", CAT_CELLS),
    _rule("cat", KINDS, "AB", "AB", FITS, "same type", CAT_CELLS),
    _rule("cat", WITH_CELLS, "B", "", NEVER, "strong anti-A: even 1 mL can kill", CAT_CELLS),
    _rule(
        "cat",
        WITH_CELLS,
        "A",
        "B",
        NEVER,
        "the cells live briefly, and the reaction can be severe",
        CAT_CELLS,
    ),
    _rule("cat", WITH_CELLS, "A", "AB", AVOID, "weak anti-B of the patient meets AB cells", CAT_MINOR),
    _rule(
        "cat", (RED_CELLS,), "AB", "A", SECOND, "packed A cells, with little of the donor's anti-B", MEMORY
    ),
    _rule("cat", (WHOLE_BLOOD,), "AB", "A", AVOID, "the donor's plasma carries weak anti-B", CAT_AB),
    _rule("cat", (WHOLE_BLOOD,), "AB", "B", NEVER, "the donor's plasma carries strong anti-A", CAT_AB),
    _rule(
        "cat",
        (RED_CELLS,),
        "AB",
        "B",
        AVOID,
        "what is left of the donor's plasma carries strong anti-A",
        CAT_AB,
    ),
    _rule("cat", (PLASMA,), "AB", "A", SECOND, "only weak anti-B; from memory", CAT_PLASMA),
    _rule("cat", (PLASMA,), "B", "A", AVOID, "the donor's weak anti-B meets the patient's cells", CAT_PLASMA),
    _rule(
        "cat", (PLASMA,), "", "B", NEVER, "the donor's strong anti-A meets the patient's cells", CAT_PLASMA
    ),
    _rule("cat", (PLASMA,), "", "AB", AVOID, "AB plasma has no antibody, but it is not matched", CAT_PLASMA),
)
TABLE = DOG + CAT


def rule_for(*, species: str, kind: str, patient: str, donor: str) -> Rule:
    """The row that decides for this patient and donor, both of that species."""
    for rule in TABLE:
        if rule.suits(species, kind, patient, donor):
            return rule
    because = f"no row of the table is for a {species} of type {patient} and blood of type {donor}"
    return _rule(species, (kind,), patient, donor, NEVER, because, "What is not known to fit is not given.")


def against_antibodies(
    antibodies: tuple[str, ...], donor_types: Mapping[str, str]
) -> Iterator[tuple[str, str]]:
    """For each system that the patient has an antibody against: the verdict and why, unless the donor lacks it.

    `donor_types` gives by system the type that was read, such as "DEA 7 negative".
    """
    for system in antibodies:
        read = donor_types.get(system, "")
        if not read:
            yield AVOID, f"the patient has an antibody against {system}, and the donor was not typed for it"
        elif read != f"{system} negative":
            yield NEVER, f"the patient has an antibody against {system}, and the donor is {read}"


def worst(*verdicts: str) -> str:
    return max(verdicts, key=VERDICTS.index)
