"""The server's clock set back and forth, the two nights of the clock change, leap day, the turn of the year.

The book is in order of number, never of clock; hours are counted as they pass; days are those of the site.
"""

from datetime import UTC, date, datetime, timedelta
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest
from django.contrib.auth import get_user_model

from buffycoat.donors.rules import ExamineDonor, RegisterDonor
from buffycoat.draws.rules import Draw, FinishDraw, StartDraw
from buffycoat.journal.book import story
from buffycoat.journal.facts import Refused
from buffycoat.journal.models import Entry
from buffycoat.journal.record import record
from buffycoat.journal.registers import rebuild
from buffycoat.journal.verify import verify
from buffycoat.keeping.export import export_day
from buffycoat.labels.rules import Labelling
from buffycoat.separation.rules import ExpressPlasma, freezer_due_at
from buffycoat.shell import words
from buffycoat.site.rules import SetLimit, limits
from tests.pages import answer, nothing_recorded, text
from tests.walk import DONORS, FULL_G, Walk

pytestmark = pytest.mark.django_db
BERLIN = ZoneInfo("Europe/Berlin")
SPRING, AUTUMN = "2024-03-31", "2024-10-27"  # 02:00 becomes 03:00; 03:00 becomes 02:00


class Clock:
    """The server's clock, in the test's hand."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.at = datetime(2024, 6, 1, 9, 0, 7, 250_000, tzinfo=UTC)
        clock = self

        class Hands(datetime):
            @classmethod
            def now(cls, tz=None):
                return clock.at.astimezone(tz)

        for module in ("journal.record", "journal.strike", "keeping.export"):
            monkeypatch.setattr(f"buffycoat.{module}.datetime", Hands)


@pytest.fixture
def clock(monkeypatch):
    return Clock(monkeypatch)


def at(local: str, fold: int = 0) -> datetime:
    return datetime.fromisoformat(local).replace(tzinfo=BERLIN, fold=fold).astimezone(UTC)


def in_berlin(start: datetime) -> Walk:
    walk = Walk(at=start)
    walk.do(SetLimit(key="time_zone", value="Europe/Berlin", reason="invented"))
    return walk


@pytest.fixture
def desk(client):
    client.force_login(get_user_model().objects.create_user("robin"))
    return client


# ---- the server's clock ----


@pytest.mark.parametrize("days", [-800, -1, 1, 800])
def test_the_order_is_by_number_when_the_clock_was_set(clock, desk, days):
    walk = Walk(at=clock.at - timedelta(hours=3))
    donor = walk.a_donor()
    clock.at += timedelta(days=days)
    record(ExamineDonor(donor=donor, weight_g=33_000, pcv_permille=410), by="kim")
    numbers = list(Entry.objects.order_by("number").values_list("number", flat=True))
    assert list(range(1, 6)) == [*numbers, len(numbers) + 1]
    told = [each.line for each in story(f"donor/{donor}")]
    assert [1, 2, 3, 4] == [line.version for line in told]
    by_clock = sorted(told, key=lambda line: line.recorded_at)
    assert (days < 0) == (by_clock != told)  # the control: by the clock it would be another story
    assert (4, None) == (verify().entries, verify().wrong)
    assert 1 == rebuild(check=True)
    page = text(desk.get(f"/donors/{donor}/"))
    assert "33 kg" in page.replace(words.NO_BREAK, " ")  # what was written last is what holds


def test_a_step_that_the_clock_puts_before_the_last_is_refused_and_says_so(clock):
    walk = Walk(at=clock.at - timedelta(hours=2))
    donation = walk.spun("cat")
    clock.at -= timedelta(days=1)
    with pytest.raises(Refused) as refused:
        record(ExpressPlasma(donation=donation, plasma_g=20), by="robin")
    assert "cannot be earlier (31 May, 09:00)." in refused.value.reasons[0]
    assert (
        "The server's clock stands at 31 May 2024, 09:00 UTC, and the last entry was recorded at "
        "01 Jun 2024, 09:00 UTC: tell whoever keeps the server to set it right." == refused.value.reasons[-1]
    )
    with pytest.raises(Refused, match=r"still to come.* The server's clock stands at 31 May 2024, 09:00 UTC"):
        record(ExpressPlasma(donation=donation, plasma_g=20), by="robin", happened_at=walk.at)
    clock.at += timedelta(days=1)
    with pytest.raises(Refused) as refused:  # the control: a right clock is not blamed
        record(ExpressPlasma(donation=donation, plasma_g=2_000), by="robin")
    assert "clock" not in str(refused.value)
    record(ExpressPlasma(donation=donation, plasma_g=20), by="robin")
    assert verify().wrong is None


@pytest.mark.parametrize(("passed_s", "ago"), [(-3_600, "0 s"), (7, "7 s"), (89, "89 s"), (3_600, "60 min")])
def test_who_was_faster_is_never_told_to_be_in_the_future(clock, passed_s, ago):
    walk = Walk(at=clock.at - timedelta(hours=2))
    donor = walk.a_donor()
    clock.at += timedelta(seconds=passed_s)
    again = ExamineDonor(donor=donor, weight_g=33_000, pcv_permille=410)
    with pytest.raises(Refused, match=rf"^robin was faster, {ago} ago: donor examined\."):
        record(again, by="kim", happened_at=walk.at, seen={f"donor/{donor}": 2})


def test_a_day_of_the_journal_has_no_gap_when_the_clock_was_put_back_over_midnight(clock, tmp_path):
    clock.at = datetime(2024, 6, 2, 0, 10, tzinfo=UTC)
    for name, hours in (("A", 0), ("B", -2), ("C", 4)):
        clock.at += timedelta(hours=hours)
        Walk(at=clock.at - timedelta(days=9)).a_donor(name=name, typed=False, examined=False)
    clock.at += timedelta(days=3)
    made = [export_day(date(2024, 6, day), tmp_path, ZoneInfo("UTC")) for day in (1, 2)]
    assert [1, 3] == [day.entries for day in made]
    hashes = list(Entry.objects.order_by("number").values_list("hash", flat=True))
    assert hashes[:2] == [made[0].before, made[0].after]
    assert hashes[2] == made[1].after


@pytest.mark.parametrize(
    ("zone", "day", "hours"),
    [
        ("Africa/Cairo", "2024-04-26", 23),  # 00:00 never came
        ("America/Havana", "2024-11-03", 25),  # 00:00 came twice
        ("Europe/Berlin", SPRING, 23),
        ("Europe/Berlin", AUTUMN, 25),
        ("Europe/Berlin", "2024-02-29", 24),
    ],
)
def test_a_day_that_is_exported_begins_and_ends_with_the_site_s_day(clock, tmp_path, zone, day, hours):
    begins_at = datetime.fromisoformat(day).replace(tzinfo=ZoneInfo(zone)).astimezone(UTC)
    for place, moment in enumerate((-1, 0, hours * 3600 - 1, hours * 3600)):
        clock.at = begins_at + timedelta(seconds=moment)
        Walk(at=clock.at).a_donor(name=f"Donor {place}", typed=False, examined=False)
    exported = export_day(date.fromisoformat(day), tmp_path, ZoneInfo(zone))
    second = Entry.objects.get(number=2)
    assert (2, True) == (exported.entries, exported.is_over)
    assert second.line == exported.path.read_text().splitlines()[1].split(" ", 1)[1]


# ---- the two nights ----


def test_a_time_that_never_came_is_answered_in_plain_words(desk):
    donation = in_berlin(at(f"{SPRING}T01:40")).draw_started("cat")
    with nothing_recorded():
        said = answer(
            desk, f"/draws/{donation}/finish/", gross_g=FULL_G["cat"], happened_at="31 Mar 2024 02:30"
        )
    assert "The clocks went forward on that day and 02:30 was skipped. Look at the time again." in text(said)
    answer(desk, f"/draws/{donation}/finish/", gross_g=FULL_G["cat"], happened_at="31 Mar 2024 03:01")
    assert at(f"{SPRING}T03:01") == Entry.objects.get(kind="draw-finished").happened_at


@pytest.mark.parametrize(("typed", "fold"), [("02:30 +02:00", 0), ("02:30 +01:00", 1)])
def test_a_time_that_came_twice_is_asked_for_again(desk, typed, fold):
    donation = in_berlin(at(f"{AUTUMN}T02:20")).draw_started("cat")
    with nothing_recorded():
        said = answer(
            desk, f"/draws/{donation}/finish/", gross_g=FULL_G["cat"], happened_at="27 Oct 2024 02:30"
        )
    assert (
        "The clocks went back on that day and 02:30 came twice. Type 02:30 +02:00 or 02:30 +01:00."
        in text(said)
    )
    answer(desk, f"/draws/{donation}/finish/", gross_g=FULL_G["cat"], happened_at=f"27 Oct 2024 {typed}")
    finished = Entry.objects.get(kind="draw-finished")
    assert at(f"{AUTUMN}T02:30", fold) == finished.happened_at


@pytest.mark.parametrize(
    ("day", "started", "finished", "minutes"),
    [
        (SPRING, ("01:55", 0), ("03:05", 0), 10),
        (AUTUMN, ("02:55", 0), ("02:05", 1), 10),
        (AUTUMN, ("02:10", 0), ("02:20", 1), 70),
    ],
)
def test_a_draw_over_the_change_lasts_as_long_as_it_lasted(day, started, finished, minutes):
    begin, end = (at(f"{day}T{clock}", fold) for clock, fold in (started, finished))
    walk = in_berlin(begin - timedelta(hours=1))
    donor, lot = walk.a_donor("cat"), walk.a_lot("cat")
    donation = (
        walk.do(StartDraw(donor=donor, lot=lot, tare_g=40, wanted_ml=50), begin).lines[0].stream.split("/")[1]
    )
    walk.do(FinishDraw(donation=donation, gross_g=FULL_G["cat"]), end)
    draw = walk.look(Draw, donation)
    assert timedelta(minutes=minutes) == draw.finished_at - draw.started_at
    too_slow = [each for each in draw.finished.because if "The draw took" in each]
    assert (minutes > 60) == bool(too_slow), draw.finished.because


@pytest.mark.parametrize(("day", "on_the_wall"), [(SPRING, "09:00"), (AUTUMN, "07:00")])
def test_the_clock_of_the_freezer_counts_hours_that_pass(desk, day, on_the_wall):
    """Eight hours from midnight. On the wall it is an hour more or less, which adding to the wall clock would miss."""
    walk = in_berlin(at(f"{day}T00:00") - timedelta(minutes=20))
    donation = walk.drawn("cat", minutes=8)
    draw, site = walk.look(Draw, donation), limits(walk.look)
    wanted_at = draw.finished_at + timedelta(hours=site.whole("freezer_clock_h"))
    due_at = freezer_due_at(draw, site)
    assert wanted_at == due_at
    local = draw.finished_at.astimezone(BERLIN)
    by_the_wall = local + timedelta(hours=site.whole("freezer_clock_h"))
    assert timedelta(hours=1) == abs(due_at - by_the_wall.astimezone(UTC))
    assert words.clock(due_at, BERLIN) in text(desk.get(f"/donations/{donation}/"))


@pytest.mark.parametrize("day", [SPRING, AUTUMN, "2024-12-31", "2024-02-29"])
def test_a_unit_expires_at_the_end_of_a_day_of_the_site(day):
    walk = in_berlin(at(f"{day}T10:00"))
    donation = walk.labelled("cat")
    for label in walk.look(Labelling, donation).printed.values():
        assert "23:59" == words.clock(label.expires_at, BERLIN)


# ---- leap day and the turn of the year ----


def test_plasma_of_a_leap_day_keeps_to_the_28th_of_the_last_year():
    walk = in_berlin(at("2024-02-29T10:00"))
    plasma = walk.look(Labelling, walk.labelled("cat")).printed["plasma"]
    assert (2, 28, 23, 59) == plasma.expires_at.astimezone(BERLIN).timetuple()[1:5]


@pytest.mark.parametrize(
    ("on", "age"),
    [(date(2021, 2, 27), "11 months"), (date(2021, 2, 28), "11 months"), (date(2021, 3, 1), "12 months")],
)
def test_whoever_is_born_on_a_leap_day_has_a_birthday_on_the_first_of_march(on, age):
    assert age == words.age(date(2020, 2, 29), on)


def test_a_day_that_is_not_in_the_calendar_is_answered_in_plain_words(desk):
    with nothing_recorded():
        typed = {"name": "A", "species": "cat", "sex": "male", "born_on": "29 Feb 2023"}
        said = desk.post("/donors/new/", {"command_id": uuid4(), **typed})
    assert "There is no day “29 Feb 2023” in the calendar." in text(said)
    born = RegisterDonor(**{**DONORS["cat"], "born_on": date(2020, 2, 29)})
    assert [] == Walk().why_not(born)


def test_what_was_weighed_last_year_is_not_of_today():
    walk = in_berlin(at("2024-12-31T23:40"))
    donor, lot = walk.a_donor("cat"), walk.a_lot("cat", expires_on=date(2025, 12, 31), maker_lot="INV-51")
    start = StartDraw(donor=donor, lot=lot, tare_g=40, wanted_ml=50)
    assert [] == walk.why_not(start, at("2024-12-31T23:59"))
    assert ["Weigh Sorrel and read the PCV first: both must be of today."] == walk.why_not(
        start, at("2025-01-01T00:00")
    )


def test_a_draw_over_the_turn_of_the_year_is_one_draw_of_both_days(desk):
    walk = in_berlin(at("2024-12-31T23:40"))
    donation = walk.drawn("cat", minutes=20)
    draw = walk.look(Draw, donation)
    local = [moment.astimezone(BERLIN).year for moment in (draw.started_at, draw.finished_at)]
    assert [2024, 2025] == local
    page = text(desk.get(f"/donations/{donation}/"))
    assert "31 Dec 2024, 23:" in page and "1 Jan 2025, 00:" in page
