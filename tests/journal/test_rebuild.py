"""The registers say what the book says: made again from it they are equal, row for row."""

from datetime import timedelta

import pytest

from buffycoat.changes.rules import DivideUnit, ThawUnit, WeighPart
from buffycoat.donors.rules import BringInDonation, BringInDonor, DeferDonor, DonorRegistered, Vaccinate
from buffycoat.draws.brought_in import DonationBroughtIn
from buffycoat.draws.rules import DiscardDonation, FinishDraw
from buffycoat.draws.spares import GiveSpareNumbers
from buffycoat.equipment.rules import RegisterEquipment
from buffycoat.journal import registers
from buffycoat.journal.models import Entry
from buffycoat.journal.registers import Differs, rebuild, snapshot
from buffycoat.journal.strike import strike
from buffycoat.labels.bringing_in import BringInUnit
from buffycoat.labels.models import UnitRow
from buffycoat.labels.rules import PrintLabel, ScanLabelBack
from buffycoat.problems.rules import ReportProblem, SettleProblem
from buffycoat.spins.rules import LEAKED, POOR
from buffycoat.storage.models import OpenJobRow, ShelfRow
from buffycoat.storage.models import post as post_of_storage
from buffycoat.storage.rules import DiscardUnit, PutAway, TakeOut
from buffycoat.temperatures.rules import OpenAlarm
from buffycoat.training.rules import SignTraining
from tests.issuing.giving import a_patient, a_request, crossmatched, issue
from tests.journal.test_record import everything
from tests.walk import Walk

pytestmark = pytest.mark.django_db


def a_full_bank() -> Walk:
    """Dogs and cats at every stage, with everything that can go wrong, and strikes."""
    walk = Walk()
    dog, cat = walk.on_the_shelf("dog"), walk.on_the_shelf("cat")
    donor, today = walk.a_donor(), walk.at.date()
    deferred = DeferDonor(donor=donor, reason="Coughs.", no_draw_before=today + timedelta(days=9))
    vaccine = {"vaccine": "Core", "given_on": today, "valid_until": today + timedelta(days=365)}
    for command in (deferred, Vaccinate(donor=donor, **vaccine), ReportProblem(about=dog, what="clot")):
        walk.do(command)
    number = Entry.objects.get(kind="problem-reported").number
    said = {"outcome": "nothing-wrong", "why": "Looked at it.", "settled_by": "kim"}
    walk.do(SettleProblem(about=dog, problem=number, **said))
    walk.do(DiscardUnit(unit=walk.units(cat)["plasma"], reason="The bag broke."))
    walk.do(PrintLabel(donation=dog, part="red-cells", reason="Smeared."))
    walk.do(ScanLabelBack(donation=dog, unit=walk.units(dog)["red-cells"]))
    changed = walk.on_the_shelf("cat")
    cells, plasma = (walk.units(changed)[part] for part in ("red-cells", "plasma"))
    walk.do(ThawUnit(unit=plasma, bath_c=36, minutes=20, over_bag=True))
    walk.do(TakeOut(unit=cells))
    walk.do(PutAway(unit=cells, place=walk.a_place("fridge"), looks_well=True))
    walk.do(DivideUnit(unit=cells, parts=2, empty_g=12, closed=False))
    walk.do(WeighPart(donation=changed, part="red-cells-1", gross_g=22))
    walk.do(PrintLabel(donation=changed, part="red-cells-1"))
    for step in (walk.draw_started, walk.drawn, walk.separated, walk.weighed, walk.kept_whole, walk.labelled):
        step("cat")
    poor, leaking, low = walk.drawn(), walk.drawn(), walk.weighed(gross_g=260 + 425)
    walk.spin(poor, outcome=POOR)
    walk.spin(leaking, outcome=LEAKED)
    walk.do(DiscardDonation(donation=low, reason="The donor fell ill."))
    misread = walk.drawn("cat")
    finished = Entry.objects.filter(stream=f"donation/{misread}", kind="draw-finished").get().number
    strike(finished, reason="Misread.", by="kim", again=FinishDraw(donation=misread, gross_g=94))
    walk.in_spin(walk.drawn("dog"))
    strike(Entry.objects.latest("number").number, reason="The wrong rotor.", by="kim")
    strike(Entry.objects.filter(kind="unit-put-away").first().number, reason="Another fridge.", by="kim")
    walk.do(GiveSpareNumbers(sheets=1))
    patient = a_patient(walk)
    given = walk.units(walk.on_the_shelf("cat"))["red-cells"]
    crossmatched(walk, patient, given)
    walk.do(issue(a_request(walk, patient), patient, given))
    plate = {"name": "Bath", "sort": "bath", "maker_number": "INV-1", "checked_how": "A thermometer"}
    walk.do(RegisterEquipment(**plate, check_every_days=90, due_on=today))
    walk.do(OpenAlarm(place=walk.made["fridge"], cause="warm", since=walk.at, extreme_centi_c=800))
    walk.do(SignTraining(trainee="kim", step="put-away", trainer="robin"))
    listed = {"name": "Fern", "species": "dog", "sex": "female", "born_on": today - timedelta(days=900)}
    before = walk.do(BringInDonor(old_number="9", blood_type="Dal negative", weight_g=30_000, **listed))
    fern, long_ago = before.the(DonorRegistered).donor, walk.at - timedelta(days=60)
    walk.do(BringInDonation(donor=fern, old_number="B-1", volume_ml=450), at=long_ago)
    old = {"product": "frozen-plasma", "blood_type": "DEA 1 negative", "old_number": "P-1"}
    bag = BringInUnit(donor=fern, volume_ml=190, expires_at=walk.at + timedelta(days=90), **old)
    walk.label(walk.do(bag, at=long_ago - timedelta(days=9)).the(DonationBroughtIn).donation)
    return walk


def test_what_is_made_again_is_equal_to_what_lives():
    a_full_bank()
    before = everything()
    assert rebuild(check=True) == Entry.objects.values("stream").distinct().count()
    assert before == everything()
    assert rebuild() > 0
    assert before == everything()


def test_every_register_had_something_to_lose():
    """The control of the test above: a register that stands empty proves nothing."""
    a_full_bank()
    assert [] == [label for label, rows in snapshot().items() if not rows]


PLANTED = {
    "changed": lambda: UnitRow.objects.filter(part="red-cells").update(volume_ml=1),
    "lost": lambda: OpenJobRow.objects.first().delete(),
    "added": lambda: OpenJobRow.objects.create(donation=UnitRow.objects.first().donation),
    "moved": lambda: ShelfRow.objects.filter(place__name="Fridge 1").update(place=None),
}
NAMED = {
    "changed": "labels.UnitRow",
    "lost": "storage.OpenJobRow",
    "added": "storage.OpenJobRow",
    "moved": "storage.ShelfRow",
}


@pytest.mark.parametrize("fault", PLANTED)
def test_a_planted_fault_is_found_and_left_as_it_is_and_mended_by_a_rebuild(fault):
    walk = Walk()
    walk.on_the_shelf("cat")
    walk.draw_started("cat")
    whole = snapshot()
    PLANTED[fault]()
    faulty = snapshot()
    assert whole != faulty
    words = f"These registers differ from the journal: {NAMED[fault]}. Nothing was changed."
    with pytest.raises(Differs) as differs:
        rebuild(check=True)
    assert words == str(differs.value)
    assert faulty == snapshot()
    rebuild()
    assert whole == snapshot()


@pytest.mark.parametrize("fault", ["forgotten", "twice"])
def test_a_chapter_that_posts_otherwise_than_it_did_is_found(monkeypatch, fault):
    walk = Walk()
    walk.on_the_shelf("cat")
    right = registers.posts()
    without = tuple(each for each in right if each is not post_of_storage)
    wrong = without if fault == "forgotten" else (*right, post_of_storage)
    monkeypatch.setattr(registers, "posts", lambda: wrong)
    with pytest.raises(Differs, match=r"differ from the journal: storage\.PlaceRow, storage\.ShelfRow\."):
        rebuild(check=True)
