"""What is written about a donor, line by line: who it is, how it was at a visit, what speaks against a draw."""

from dataclasses import dataclass
from datetime import date

from buffycoat.journal.facts import Fact


@dataclass(frozen=True, kw_only=True)
class DonorRegistered(Fact, kind="donor-registered"):
    donor: str
    name: str
    species: str
    sex: str
    born_on: date
    breed: str
    cautions: str


@dataclass(frozen=True, kw_only=True)
class ChipRead(Fact, kind="chip-read", builds_on=(DonorRegistered,)):
    """The number as it was read: text, for older chips begin with noughts."""

    chip: str
    chip_type: str


@dataclass(frozen=True, kw_only=True)
class BloodTyped(Fact, kind="blood-typed", builds_on=(DonorRegistered,)):
    """One reading of one test. Who read it is who wrote it."""

    blood_type: str
    method: str


@dataclass(frozen=True, kw_only=True)
class ConsentGiven(Fact, kind="consent-given", builds_on=(DonorRegistered,)):
    """The owner signed this version of the site's form. The form itself stays on paper, outside the journal."""

    version: str


@dataclass(frozen=True, kw_only=True)
class ConsentWithdrawn(Fact, kind="consent-withdrawn", builds_on=(ConsentGiven,)):
    reason: str


@dataclass(frozen=True, kw_only=True)
class Answer:
    """`answer` is yes or no; `words` is what was told beside it."""

    key: str
    answer: str
    words: str = ""


@dataclass(frozen=True, kw_only=True)
class QuestionnaireAnswered(Fact, kind="questionnaire-answered", builds_on=(DonorRegistered,)):
    answers: tuple[Answer, ...]


@dataclass(frozen=True, kw_only=True)
class DonorExamined(Fact, kind="donor-examined", builds_on=(DonorRegistered,)):
    """Weight and PCV of the day, and what else was looked at; what was not is None or empty."""

    weight_g: int
    pcv_permille: int
    cautions: str
    pcv_method: str = ""
    total_protein_g_per_l: int | None = None
    temperature_deci_c: int | None = None
    pulse_per_min: int | None = None
    breaths_per_min: int | None = None
    mucous_membranes: str = ""
    murmur: bool | None = None


@dataclass(frozen=True, kw_only=True)
class VaccineGiven(Fact, kind="vaccine-given", builds_on=(DonorRegistered,)):
    vaccine: str
    given_on: date
    valid_until: date


@dataclass(frozen=True, kw_only=True)
class MedicineGiven(Fact, kind="medicine-given", builds_on=(DonorRegistered,)):
    """`no_draw_before` is the first day on which it does not stand against a draw; None: it never does."""

    medicine: str
    given_on: date
    no_draw_before: date | None


@dataclass(frozen=True, kw_only=True)
class DonorTravelled(Fact, kind="donor-travelled", builds_on=(DonorRegistered,)):
    region: str
    returned_on: date


@dataclass(frozen=True, kw_only=True)
class InfectionTested(Fact, kind="infection-tested", builds_on=(DonorRegistered,)):
    """A positive result holds everything of this donor that is in date, until it is cleared."""

    agent: str
    method: str
    result: str
    taken_on: date
    laboratory: str

    @property
    def part(self) -> str:
        return f"{self.agent} by {self.method}"


@dataclass(frozen=True, kw_only=True)
class PositiveCleared(Fact, kind="positive-cleared", builds_on=(InfectionTested,)):
    """The veterinarian named decided that the positive result does not stand against donor and products."""

    agent: str
    method: str
    decided_by: str
    reason: str

    @property
    def part(self) -> str:
        return f"{self.agent} by {self.method}"


@dataclass(frozen=True, kw_only=True)
class DonorDeferred(Fact, kind="donor-deferred", builds_on=(DonorRegistered,)):
    """`part` tells one deferral from another; without `no_draw_before` it stands until it is lifted."""

    part: str
    reason: str
    no_draw_before: date | None


@dataclass(frozen=True, kw_only=True)
class DeferralLifted(Fact, kind="deferral-lifted", builds_on=(DonorDeferred,)):
    part: str
    decided_by: str
    reason: str


@dataclass(frozen=True, kw_only=True)
class ChecksWaived(Fact, kind="checks-waived", builds_on=(DonorRegistered,)):
    """An animal that gives in an emergency: which checks were left out for this one day, and who decided it."""

    checks: tuple[str, ...]
    decided_by: str
    reason: str


@dataclass(frozen=True, kw_only=True)
class DonorGave(Fact, kind="donor-gave", builds_on=(DonorRegistered, DonorExamined, ChecksWaived)):
    """Written by the draw, so that the donor's own stream knows when it last gave."""

    donation: str


@dataclass(frozen=True, kw_only=True)
class DonorSedated(Fact, kind="donor-sedated", builds_on=(DonorRegistered,)):
    protocol: str
    lowest_systolic_mmhg: int | None
    fluids_ml: int | None
    remarks: str


@dataclass(frozen=True, kw_only=True)
class DonorReacted(Fact, kind="donor-reacted", builds_on=(DonorGave,)):
    donation: str
    reaction: str
    severity: str
    remarks: str


@dataclass(frozen=True, kw_only=True)
class OwnerCalled(Fact, kind="owner-called", builds_on=(DonorGave,)):
    """How the donor was some days after it gave, by its owner's word."""

    donation: str
    well: bool
    remarks: str


@dataclass(frozen=True, kw_only=True)
class DonorBroughtIn(Fact, kind="donor-brought-in", builds_on=(DonorRegistered,)):
    """From a list kept before this book; `row` says which row of which. Its weight and PCV never stand for today's."""

    old_number: str
    row: str
    weight_g: int | None = None
    pcv_permille: int | None = None
    measured_on: date | None = None


@dataclass(frozen=True, kw_only=True)
class DonorGaveBefore(Fact, kind="donor-gave-before", builds_on=(DonorRegistered,)):
    """A donation from before this book, as a list has it. Interval, year and curve count it; nothing else knows it."""

    old_number: str
    row: str
    volume_ml: int | None = None
    weight_g: int | None = None
    pcv_permille: int | None = None


@dataclass(frozen=True, kw_only=True)
class DonorRetired(Fact, kind="donor-retired", builds_on=(DonorRegistered,)):
    reason: str
    died: bool
