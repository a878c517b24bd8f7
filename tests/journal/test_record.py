"""Everything of a command is written, or nothing; once; and not past somebody else."""

from datetime import UTC, datetime, timedelta, timezone

import pytest

from buffycoat.donors.models import DonorRow
from buffycoat.donors.rules import Donor, DonorExamined, ExamineDonor, RegisterDonor
from buffycoat.draws.rules import DonorGave, DrawStarted, StartDraw
from buffycoat.journal import registers
from buffycoat.journal.book import Book, lock_head, story, version_of
from buffycoat.journal.facts import Refused
from buffycoat.journal.models import Entry, Head
from buffycoat.journal.record import record
from buffycoat.journal.verify import verify
from tests.walk import DONORS, START, Walk

pytestmark = pytest.mark.django_db


def everything():
    """All that a bank knows: the book, its head and every register."""
    return list(Entry.objects.values_list()), list(Head.objects.values_list()), registers.snapshot()


def register(name="Bramble"):
    return RegisterDonor(**{**DONORS["dog"], "name": name})


def examine(donor, weight_g=32_000):
    return ExamineDonor(donor=donor, weight_g=weight_g, pcv_permille=450)


def test_a_recorded_command_is_in_the_book_and_in_the_register():
    donor = record(register(), by="robin", happened_at=START).lines[0].fact.donor
    line = story(f"donor/{donor}")[0].line
    assert (1, 1, "robin", START) == (line.number, line.version, line.by, line.happened_at)
    assert "Bramble" == Book()(Donor, donor).registered.name == DonorRow.objects.get(donor=donor).name


def test_a_command_writes_to_several_streams_under_one_id():
    walk = Walk()
    start = StartDraw(donor=walk.a_donor(), lot=walk.a_lot(), tare_g=260, wanted_ml=450)
    done = walk.do(start)
    assert [DrawStarted, DonorGave] == [type(line.fact) for line in done.lines]
    assert 1 == len({line.command_id for line in done.lines})
    assert [entry.number for entry in Entry.objects.all()] == list(range(1, Entry.objects.count() + 1))


def test_nothing_is_written_when_it_happened_is_not_said_but_the_time_of_now():
    before = datetime.now(UTC)
    line = record(register(), by="robin").lines[0]
    assert before <= line.happened_at == line.recorded_at <= datetime.now(UTC)


def test_whoever_waited_for_the_book_is_later_than_whoever_held_it(monkeypatch):
    opened = []

    def waits():
        head = lock_head()
        opened.append(datetime.now(UTC))
        return head

    monkeypatch.setattr("buffycoat.journal.record.lock_head", waits)
    line = record(register(), by="robin").lines[0]
    assert opened[0] <= line.recorded_at == line.happened_at


def test_a_refused_command_leaves_nothing():
    walk = Walk()
    donor = walk.a_donor()
    before = everything()
    with pytest.raises(Refused) as refused:
        record(ExamineDonor(donor=donor, weight_g=1, pcv_permille=1), by="robin", happened_at=walk.at)
    assert 2 == len(refused.value.reasons)
    assert before == everything()


@pytest.mark.parametrize("place", [0, -1], ids=["first", "last"])
def test_a_register_that_fails_leaves_nothing(monkeypatch, place):
    walk = Walk()
    donor, lot = walk.a_donor(), walk.a_lot()
    before = everything()

    def fails(stream, lines):
        if stream.startswith("donor/"):  # the second stream of a draw
            raise RuntimeError("the register is broken")

    posts = list(registers.posts())
    posts.insert(0 if place == 0 else len(posts), fails)
    monkeypatch.setattr(registers, "posts", lambda: tuple(posts))
    with pytest.raises(RuntimeError, match="the register is broken"):
        walk.do(StartDraw(donor=donor, lot=lot, tare_g=260, wanted_ml=450))
    assert before == everything()


def test_the_same_command_again_gives_the_first_result_and_writes_nothing():
    first = record(register(), by="robin", happened_at=START, command_id="form-1")
    before = everything()
    again = record(register(), by="robin", happened_at=START, command_id="form-1")
    assert first == again
    assert before == everything()


def test_a_command_is_repeated_even_when_it_would_be_refused_by_now():
    walk = Walk()
    start = StartDraw(donor=walk.a_donor(), lot=walk.a_lot(), tare_g=260, wanted_ml=450)
    first = record(start, by="robin", happened_at=walk.at, command_id="form-1")
    with pytest.raises(Refused, match="may give again"):
        record(start, by="robin", happened_at=walk.at)
    assert first == record(start, by="kim", happened_at=walk.at, command_id="form-1")


@pytest.mark.parametrize("other", [register("Thistle"), examine("DHAVN000000177")], ids=["values", "step"])
def test_the_same_form_with_other_values_is_refused_and_says_who_was_first(other):
    record(register(), by="robin", happened_at=START, command_id="form-1")
    before = everything()
    with pytest.raises(Refused) as refused:
        record(other, by="kim", happened_at=START, command_id="form-1")
    assert refused.value.reasons == (
        "This form was already recorded by robin with other values. "
        "Open the page afresh; to change what stands, strike it and write it again.",
    )
    assert before == everything()


def test_two_forms_with_the_same_values_are_two_events():
    donor = Walk().a_donor()
    for form in ("form-1", "form-2"):
        record(examine(donor), by="robin", happened_at=START, command_id=form)
    assert 3 == Entry.objects.filter(kind=DonorExamined.kind).count()


def test_who_comes_second_is_told_who_was_faster_and_when():
    donor = Walk().a_donor()
    seen = {f"donor/{donor}": version_of(f"donor/{donor}")}
    record(examine(donor), by="robin", seen=seen)
    before = everything()
    with pytest.raises(Refused, match=r"^robin was faster, \d s ago: donor examined. Look at the page again"):
        record(examine(donor, 31_000), by="kim", seen=seen)
    assert before == everything()


@pytest.mark.parametrize("version", [0, -5, -(10**30)])
def test_a_page_that_says_it_was_drawn_before_anything_is_told_who_was_first(version):
    donor = Walk().a_donor()
    with pytest.raises(Refused, match=r"^robin was faster, \d s ago: donor registered\. "):
        record(examine(donor), by="kim", seen={f"donor/{donor}": version})


@pytest.mark.parametrize("version", [-1, 0, 1, -(10**30)])
def test_a_page_drawn_from_a_stream_that_was_never_written_to_is_not_overtaken(version):
    donor = Walk().a_donor()
    assert record(examine(donor), by="kim", seen={"donor/DHAVN999999999": version}).lines


def test_what_happened_on_other_streams_does_not_matter_to_a_form():
    walk = Walk()
    donor = walk.a_donor()
    seen = {f"donor/{donor}": version_of(f"donor/{donor}")}
    walk.a_donor("cat")
    assert 1 == len(record(examine(donor), by="kim", happened_at=walk.at, seen=seen).lines)


def test_a_long_while_is_told_in_minutes(monkeypatch):
    donor = Walk().a_donor()
    recorded_at = Entry.objects.latest("number").recorded_at

    class Later(datetime):
        @classmethod
        def now(cls, tz=None):
            return recorded_at + timedelta(minutes=7)

    monkeypatch.setattr("buffycoat.journal.record.datetime", Later)
    with pytest.raises(Refused, match=r"^robin was faster, 7 min ago: donor examined\."):
        record(examine(donor), by="kim", seen={f"donor/{donor}": 2})


def test_what_is_still_to_come_is_refused():
    before = everything()
    with pytest.raises(Refused, match="The time given is still to come: give the time when it was done"):
        record(register(), by="robin", happened_at=datetime.now(UTC) + timedelta(minutes=2))
    assert before == everything()


def test_a_tablet_whose_clock_runs_a_little_ahead_is_believed():
    soon = datetime.now(UTC) + timedelta(seconds=50)
    assert soon == record(register(), by="robin", happened_at=soon).lines[0].happened_at


def test_a_time_told_in_another_zone_stands_in_the_book_as_utc():
    told = START.astimezone(timezone(timedelta(hours=5, minutes=30)))
    line = record(register(), by="robin", happened_at=told).lines[0]
    assert START.isoformat() == line.happened_at.isoformat()
    assert None is verify().wrong
