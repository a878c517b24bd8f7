"""Never edit, strike: with a reason, all of one command, never from under what stands on it."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from buffycoat.donors.models import DonorRow
from buffycoat.donors.rules import Donor, DonorExamined, ExamineDonor, RegisterDonor, TypeBlood
from buffycoat.draws.models import DonationRow
from buffycoat.draws.rules import Draw, DrawFinished, DrawStarted, FinishDraw, StartDraw
from buffycoat.journal.book import Book, standing, story, version_of
from buffycoat.journal.facts import EntryStruck, Refused
from buffycoat.journal.models import Entry
from buffycoat.journal.registers import rebuild
from buffycoat.journal.strike import NAMED, UndoLast, VoidJob, last_step, strike
from buffycoat.journal.verify import verify
from buffycoat.labels.models import UnitRow
from buffycoat.labels.rules import LabelPrinted, LabelScannedBack, PrintLabel
from buffycoat.science.numbering import show_code
from buffycoat.separation.rules import AdditiveAdded, ExpressPlasma, LoseAdditive, PlasmaExpressed, Separation
from buffycoat.spins.rules import BagPutInSpin, SpinStarted
from tests.journal.test_record import everything
from tests.walk import DONORS, Walk

pytestmark = pytest.mark.django_db
GONE = "Strike entry {} ({}) first: it stands on this one."


def number_of(fact, at=-1):
    return list(Entry.objects.filter(kind=fact.kind).order_by("number"))[at].number


def refusal(number, reason="A slip of the hand."):
    before = everything()
    with pytest.raises(Refused) as refused:
        strike(number, reason=reason, by="kim")
    assert before == everything()
    return list(refused.value.reasons)


def test_a_struck_entry_stays_readable_and_counts_no_more():
    walk = Walk()
    donor = walk.a_donor()
    strike(number_of(DonorExamined), reason=" Read the wrong scale. ", by="kim")
    assert None is Book()(Donor, donor).examined
    told = story(f"donor/{donor}")
    assert ["", "", "Read the wrong scale."] == [each.struck_reason for each in told]
    assert ("kim", 3) == (told[2].struck.by, len(told))
    assert (None, "DEA 1 negative") == DonorRow.objects.values_list("weight_g", "blood_type").get(donor=donor)
    assert None is verify().wrong


@pytest.mark.parametrize("reason", ["", "  "])
def test_a_strike_has_a_reason(reason):
    Walk().a_donor()
    assert ["Say why it is struck: the reason stays in the book."] == refusal(
        number_of(DonorExamined), reason
    )


def test_what_is_not_there_is_not_struck():
    assert ["There is no entry 99."] == refusal(99)


def test_an_entry_is_struck_once_and_a_strike_never():
    Walk().a_donor()
    examined = number_of(DonorExamined)
    strike(examined, reason="Slip.", by="kim")
    assert [f"Entry {examined} is struck already."] == refusal(examined)
    assert ["A strike cannot be struck: write the entry again."] == refusal(number_of(EntryStruck))


@pytest.mark.parametrize("named", [SpinStarted, BagPutInSpin], ids=lambda each: each.kind)
def test_all_that_one_command_wrote_is_struck_together(named):
    walk = Walk()
    donations = walk.drawn(), walk.drawn()
    spin = walk.in_spin(*donations)
    strike(number_of(named), reason="The wrong rotor.", by="kim")
    assert 3 == Entry.objects.filter(kind=EntryStruck.kind).count()
    assert [] == standing(f"spin/{spin}")
    assert {None} == {Book()(Separation, each).spun.in_spin for each in donations}
    assert spin != walk.in_spin(*donations)


def test_a_strike_is_refused_while_later_entries_stand_and_lists_them_all():
    walk = Walk()
    walk.weighed()
    expressed = number_of(PlasmaExpressed)
    later = [
        (number_of(AdditiveAdded), "additive added"),
        (number_of(AdditiveAdded) + 1, "clots looked for"),
        (number_of(AdditiveAdded) + 3, "product weighed"),
        (number_of(AdditiveAdded) + 4, "product weighed"),
    ]
    assert [GONE.format(*each) for each in later] == refusal(expressed)


def test_the_last_step_first_a_donation_can_be_struck_to_its_beginning():
    walk = Walk()
    donation = walk.on_the_shelf()
    stream = f"donation/{donation}"
    while lines := standing(stream):
        strike(lines[-1].number, reason="The whole donation was a rehearsal.", by="kim")
    assert (None, 0, 0) == (
        Book()(Draw, donation).started,
        DonationRow.objects.count(),
        UnitRow.objects.count(),
    )
    assert None is Book()(Donor, story(stream)[0].line.fact.donor).last_drawn_at
    assert rebuild(check=True) > 0
    assert None is verify().wrong


def test_what_was_struck_above_no_longer_holds_what_is_below():
    walk = Walk()
    walk.expressed()
    expressed = number_of(PlasmaExpressed)
    walk.do(
        LoseAdditive(
            donation=standing(Entry.objects.get(number=expressed).stream)[0].fact.donation, reason="Leak."
        )
    )
    lost = Entry.objects.latest("number").number
    assert [GONE.format(lost, "additive lost")] == refusal(expressed)
    strike(lost, reason="It ran in after all.", by="kim")
    assert 1 == len(strike(expressed, reason="Wrong bag.", by="kim").lines)


def test_the_label_of_one_part_does_not_hold_the_weighing_of_the_other():
    walk = Walk()
    donation = walk.weighed()
    printed = walk.do(PrintLabel(donation=donation, part="red-cells")).lines[0].number
    weighed = list(Entry.objects.filter(kind="product-weighed").order_by("number"))
    plasma, cells = (entry.number for entry in weighed)
    assert [GONE.format(printed, "label printed")] == refusal(cells)
    assert 1 == len(strike(plasma, reason="Hand on the pan.", by="kim").lines)


def test_the_beginning_of_a_stream_is_not_struck_while_others_name_it():
    walk = Walk()
    walk.drawn()
    lot = number_of(type(standing(f"lot/{walk.a_lot()}")[0].fact))
    drawn = number_of(DrawStarted)
    assert [f"Strike entry {drawn} (draw started) first: it names {show_code(walk.a_lot())}."] == refusal(lot)


def test_a_lot_that_nothing_was_drawn_into_is_struck():
    walk = Walk()
    lot = walk.a_lot()
    strike(number_of(type(standing(f"lot/{lot}")[0].fact)), reason="Sent back.", by="kim")
    assert [] == standing(f"lot/{lot}")


def test_a_lot_is_free_again_when_the_draw_into_it_was_struck():
    walk = Walk()
    walk.draw_started()
    strike(number_of(DrawStarted), reason="The other lot was taken.", by="kim")
    received = Entry.objects.get(stream=f"lot/{walk.a_lot()}").number
    assert 1 == len(strike(received, reason="Sent back.", by="kim").lines)


def test_a_label_that_was_scanned_back_is_struck_from_the_scan_on():
    walk = Walk()
    walk.labelled("cat")
    printed, scanned = number_of(LabelPrinted), number_of(LabelScannedBack)
    assert GONE.format(scanned, "label scanned back") in refusal(printed)
    strike(scanned, reason="Scanned from the table.", by="kim")
    assert 2 == len(strike(printed, reason="Wrong part.", by="kim").lines)
    assert 1 == UnitRow.objects.count()


def test_struck_and_written_again_is_one_act():
    walk = Walk()
    donation = walk.drawn()
    again = FinishDraw(donation=donation, gross_g=743)
    finished = Book()(Draw, donation)
    strike(number_of(DrawFinished), reason="Misread.", by="kim", again=again, again_at=finished.finished_at)
    now = Book()(Draw, donation)
    assert (743, finished.finished_at) == (now.finished.gross_g, now.finished_at)
    assert [EntryStruck.kind, DrawFinished.kind] == list(
        Entry.objects.order_by("-number").values_list("kind", flat=True)[:2][::-1]
    )
    assert 743 == DonationRow.objects.get(donation=donation).gross_g


def test_when_the_right_entry_is_refused_the_wrong_one_is_not_struck():
    walk = Walk()
    donation = walk.expressed()
    before = everything()
    with pytest.raises(Refused, match="is more plasma than this bag held"):
        strike(
            number_of(PlasmaExpressed),
            reason="Misread.",
            by="kim",
            again=ExpressPlasma(donation=donation, plasma_g=400),
        )
    assert before == everything()


def test_the_right_entry_is_not_still_to_come():
    walk = Walk()
    donor = walk.a_donor()
    before = everything()
    with pytest.raises(Refused, match="still to come"):
        strike(
            number_of(DonorExamined),
            reason="Misread.",
            by="kim",
            again=ExamineDonor(donor=donor, weight_g=31_000, pcv_permille=440),
            again_at=datetime.now(UTC) + timedelta(hours=1),
        )
    assert before == everything()


def test_a_wrong_blood_type_is_struck_before_the_right_one_is_written():
    walk = Walk()
    donor = walk.a_donor()
    right = TypeBlood(donor=donor, blood_type="DEA 1 positive", method="tube")
    typed = Entry.objects.get(kind="blood-typed").number
    strike(typed, reason="The card was read too early.", by="kim", again=right)
    assert "DEA 1 positive" == Book()(Donor, donor).blood_type == DonorRow.objects.get(donor=donor).blood_type


def test_a_struck_donor_is_registered_again_under_a_new_number():
    walk = Walk()
    first = walk.a_donor(typed=False, examined=False)
    opened = Entry.objects.latest("number").number
    again = RegisterDonor(**{**DONORS["cat"], "name": "Bramble"})
    second = strike(opened, reason="It is a cat.", by="kim", again=again).lines[0].fact.donor
    assert (first != second, [(second, "cat")]) == (
        True,
        list(DonorRow.objects.values_list("donor", "species")),
    )


def test_a_thing_in_use_lists_the_first_that_name_it_and_says_that_there_are_more():
    walk = Walk()
    lot = walk.a_lot()
    drawn = [walk.do(_another(walk, lot)).lines[0].number for _ in range(NAMED + 1)]
    assert [
        *(
            f"Strike entry {number} (draw started) first: it names {show_code(lot)}."
            for number in drawn[:NAMED]
        ),
        f"More entries name {show_code(lot)}: it is in use.",
    ] == refusal(Entry.objects.get(stream=f"lot/{lot}").number)


def _another(walk, lot):
    return StartDraw(donor=walk.a_donor(), lot=lot, tare_g=260, wanted_ml=450)


def test_what_names_a_thing_is_found_past_many_that_were_struck(monkeypatch):
    monkeypatch.setattr("buffycoat.journal.strike.AT_ONCE", 2)
    walk = Walk()
    lot = walk.a_lot()
    for _ in range(5):
        strike(walk.do(_another(walk, lot)).lines[0].number, reason="Slip.", by="kim")
    received = Entry.objects.get(stream=f"lot/{lot}").number
    stands = walk.do(_another(walk, lot)).lines[0].number
    assert [f"Strike entry {stands} (draw started) first: it names {show_code(lot)}."] == refusal(received)
    strike(stands, reason="Slip.", by="kim")
    assert 1 == len(strike(received, reason="Sent back.", by="kim").lines)


def test_a_strike_whose_page_was_overtaken_is_refused_and_says_who_was_faster():
    walk = Walk()
    donor = walk.a_donor()
    number, seen = number_of(DonorExamined), {f"donor/{donor}": version_of(f"donor/{donor}")}
    walk.by = "kim"
    walk.do(ExamineDonor(donor=donor, weight_g=31_000, pcv_permille=440))
    before = everything()
    with pytest.raises(Refused, match="kim was faster"):
        strike(number, reason="Misread.", by="robin", seen=seen)
    assert before == everything()
    assert 1 == len(strike(number, reason="Misread.", by="robin").lines)


def test_the_last_step_is_all_of_its_command_the_line_of_that_stream_first():
    walk = Walk()
    donation = walk.draw_started()
    donor = Book()(Draw, donation).started.donor
    kinds = {DrawStarted.kind: f"donation/{donation}", "donor-gave": f"donor/{donor}"}
    for first, stream in kinds.items():
        last = last_step(stream)
        assert (first, set(kinds)) == (last[0].fact.kind, {line.fact.kind for line in last})
    assert [] == last_step("donation/GHAVN000000000")


def test_only_the_last_step_is_undone_and_one_that_was_overtaken_is_not():
    walk = Walk()
    donation = walk.drawn()
    stream = f"donation/{donation}"
    shown = last_step(stream)[0].number
    walk.in_spin(donation)
    overtaken = UndoLast(stream=stream, entry_number=shown, reason="Misread.")
    why = "The last thing here is now another: bag put in spin, by robin. Look again before you take it back."
    assert [why] == walk.why_not(overtaken)
    walk.do(replace(overtaken, entry_number=last_step(stream)[0].number))
    walk.do(overtaken)
    assert shown not in {line.number for line in standing(stream)}


def test_where_nothing_stands_nothing_is_undone_or_voided():
    walk = Walk()
    assert ["Nothing stands here that could be taken back."] == walk.why_not(
        UndoLast(stream="lot/LHAVN000000000", entry_number=1, reason="Misread.")
    )
    assert ["Nothing stands here that could be voided."] == walk.why_not(
        VoidJob(stream="lot/LHAVN000000000", reason="Misread.")
    )


def test_a_job_is_voided_in_one_command_and_gives_every_reason_against_it():
    walk = Walk()
    donation = walk.on_the_shelf("cat")
    reasons = walk.why_not(VoidJob(stream=f"donation/{donation}", reason=""))
    assert "Say why it is struck: the reason stays in the book." in reasons
    assert 2 == sum("a labelled bag is there" in reason for reason in reasons)
    whole = walk.kept_whole()
    struck = walk.do(VoidJob(stream=f"donation/{whole}", reason="A rehearsal.")).lines
    assert (1, {EntryStruck.kind}) == (
        len({line.command_id for line in struck}),
        {line.fact.kind for line in struck},
    )
    assert [] == standing(f"donation/{whole}")
    assert rebuild(check=True) > 0
    assert None is verify().wrong
