"""A correction at every step of the bench: refused with what to strike first, or made with its effect told before."""

from datetime import timedelta

import pytest

from buffycoat.donors.rules import ExamineDonor, TypeBlood
from buffycoat.draws.rules import DiscardDonation
from buffycoat.journal.book import Book
from buffycoat.journal.facts import Refused
from buffycoat.journal.models import Entry
from buffycoat.journal.registers import rebuild
from buffycoat.journal.strike import StrikeEntry, strike
from buffycoat.labels.models import UnitRow
from buffycoat.labels.rules import PrintLabel, ScanLabelBack
from buffycoat.science.numbering import show_code
from buffycoat.site.rules import SetLimit, limits
from buffycoat.storage.places import OpenPlace, PlaceOpened
from buffycoat.storage.rules import DiscardUnit, PutAway
from buffycoat.storage.stock import stock, stocked
from buffycoat.trace.effects import effects_of
from buffycoat.trace.jobs import next_step
from tests.walk import Walk

pytestmark = pytest.mark.django_db

# What must be struck first, by kind, when a dog's two units stand in their places; or "" where it may be struck.
GROUNDS = {
    "donor-registered": "blood-typed donor-examined donor-gave",
    "donor-examined": "donor-gave",
    "blood-typed": "",
    "bag-set-lot-received": "draw-started",
    "draw-started": "draw-finished",
    "donor-gave": "draw-finished",
    "draw-finished": "bag-put-in-spin product-weighed product-weighed",
    "rotor-registered": "programme-written programme-written",
    "programme-written": "",
    "spin-started": "spin-finished",
    "bag-put-in-spin": "spin-finished",
    "spin-finished": "plasma-expressed",
    "bag-spun": "plasma-expressed",
    "plasma-expressed": "additive-added clots-looked-for product-weighed product-weighed",
    "additive-added": "clots-looked-for product-weighed product-weighed",
    "clots-looked-for": "segments-sealed label-printed label-printed",
    "segments-sealed": "product-weighed product-weighed label-printed label-printed",
    "product-weighed": "label-printed",
    "label-printed": "label-scanned-back",
    "unit-named": "label-scanned-back",
    "label-scanned-back": "unit-put-away",
    "place-opened": "unit-put-away",
    "unit-put-away": "",
}


@pytest.fixture
def walk(db):
    return Walk()


def last(kind):
    return Entry.objects.filter(kind=kind).latest("number").number


def why_not(number):
    return list(StrikeEntry(entry_number=number, reason="A slip.").why_not(Book(), None))


def told(number, at):
    return effects_of(StrikeEntry(entry_number=number, reason="A slip.").lines(), at)


def words(walk):
    """The state of every unit that was ever labelled, and why it shows stop, as the registers have it."""
    rows = UnitRow.objects.order_by("part").select_related("shelf__place", "donation__donor")
    units = [stocked(row, walk.at, limits(Book())) for row in rows]
    return [(unit.status, unit.stop_because if unit.status == "stop" else "") for unit in units]


def test_every_step_is_refused_with_what_to_strike_first_or_may_be_struck(walk):
    walk.on_the_shelf()
    kinds = dict(Entry.objects.values_list("number", "kind"))
    found = {}
    for number, kind in kinds.items():
        first = [int(reason.split()[2]) for reason in why_not(number) if reason.startswith("Strike entry")]
        assert len(first) == len(why_not(number))
        found.setdefault(kind, set()).add(" ".join(kinds[each] for each in first))
    assert {kind: {first} for kind, first in GROUNDS.items()} == found


@pytest.mark.one_database
@pytest.mark.parametrize("kind", [kind for kind, first in GROUNDS.items() if first])
def test_what_is_listed_may_be_struck_and_then_so_may_the_step_itself(walk, kind):
    """Following the list, the last first, always leads to the end: no step is locked for ever."""
    walk.on_the_shelf()
    asked = Entry.objects.filter(kind=kind).earliest("number").number
    waiting = [asked]
    while waiting:
        reasons = why_not(waiting[-1])
        if any("is struck already" in reason for reason in reasons):
            waiting.pop()
        elif reasons:
            waiting.append(max(int(reason.split()[2]) for reason in reasons))
        else:
            strike(waiting.pop(), reason="A slip.", by="kim")
    assert [f"Entry {asked} is struck already."] == [each for each in why_not(asked) if f" {asked} " in each]
    assert rebuild(check=True) > 0


def test_a_struck_type_stops_every_unit_of_the_donor_until_it_is_typed_and_labelled_again(walk):
    donation = walk.on_the_shelf()
    typed = last("blood-typed")
    effects = told(typed, walk.at)
    unknown = "its donor's blood type is not known any more: type the donor, then print its label again"
    assert 2 == effects.stops
    assert "The blood type of Bramble will not be known any more; it was DEA 1 negative." in effects.sentences
    assert 2 == sum(each.endswith(f"will show stop: {unknown}.") for each in effects.sentences)
    assert f"Next for {show_code(donation)}: label the plasma again." == effects.sentences[-1]

    donor = Entry.objects.get(number=typed).stream.partition("/")[2]
    strike(typed, reason="Read too early.", by="kim")
    assert [("stop", unknown)] * 2 == words(walk)
    walk.do(TypeBlood(donor=donor, blood_type="DEA 1 positive", method="tube"))
    other = "its donor is now DEA 1 positive: print its label again, or discard it"
    assert [("stop", other)] * 2 == words(walk)
    for part in ("plasma", "red-cells"):
        assert f"Label the {part.replace('-', ' ')} again" == next_step(Book(), donation).words
        walk.do(PrintLabel(donation=donation, part=part))
        assert "Scan the label back" == next_step(Book(), donation).words
        walk.do(ScanLabelBack(donation=donation, unit=walk.units(donation)[part]))
    assert [("ready", "")] * 2 == words(walk)
    assert None is next_step(Book(), donation)


def test_a_struck_type_stops_the_units_of_all_donations_but_counts_no_expired_one_again(walk):
    donor = walk.a_donor()
    walk.on_the_shelf(donor=donor)
    walk.wait(days=90)  # by now the first red cells show stop already
    walk.do(ExamineDonor(donor=donor, weight_g=32_000, pcv_permille=450))
    walk.on_the_shelf(donor=donor)
    assert 3 == told(last("blood-typed"), walk.at).stops


def test_a_type_struck_and_written_again_in_one_act_stops_only_what_it_changes(walk):
    walk.on_the_shelf()
    again = TypeBlood(
        donor=Entry.objects.get(kind="blood-typed").stream.partition("/")[2],
        blood_type="DEA 1 negative",
        method="tube",
    )
    strike(last("blood-typed"), reason="Wrong kit.", by="kim", again=again, again_at=walk.at)
    assert [("ready", "")] * 2 == words(walk)


def test_a_unit_in_its_place_whose_new_label_was_not_scanned_back_shows_stop(walk):
    donation = walk.on_the_shelf()
    unit = walk.units(donation)["plasma"]
    walk.do(PrintLabel(donation=donation, part="plasma", reason="Torn"))
    walk.do(ScanLabelBack(donation=donation, unit=unit))
    why = "its label was not scanned back: scan it from the bag, or print another"
    effects = told(last("label-scanned-back"), walk.at)
    name = f"Fresh frozen plasma {show_code(unit)}"
    assert (1, f"{name} in Freezer 1 will show stop: {why}.") == (effects.stops, effects.sentences[0])
    strike(last("label-scanned-back"), reason="Scanned from the table.", by="kim")
    assert [("stop", why), ("ready", "")] == words(walk)
    assert "Scan the label back" == next_step(Book(), donation).words

    again = f"{name}: copy 1 of its label counts again. Destroy copy 2."
    assert (again,) == told(last("label-printed"), walk.at).sentences
    strike(last("label-printed"), reason="The old one is good.", by="kim")
    assert [("ready", "")] * 2 == words(walk)


def test_a_struck_reprint_lets_the_copy_before_it_count_again(walk):
    donation = walk.labelled()
    walk.do(PrintLabel(donation=donation, part="plasma", reason="Torn"))
    shown = show_code(walk.units(donation)["plasma"])
    assert f"Fresh frozen plasma {shown}: copy 1 of its label counts again. Destroy copy 2." in (
        told(last("label-printed"), walk.at).sentences
    )


def test_a_struck_first_label_is_no_unit_any_more(walk):
    donation = walk.weighed("cat")
    walk.do(PrintLabel(donation=donation, part="red-cells"))
    shown = show_code(walk.units(donation)["red-cells"])
    assert (
        f"Red cells {shown} is no unit any more: take its label off and destroy it.",
        f"Next for {show_code(donation)}: label the plasma.",
    ) == told(last("label-printed"), walk.at).sentences


def test_a_struck_put_away_leaves_the_stock_and_waits_at_the_bench(walk):
    donation = walk.on_the_shelf()
    shown = show_code(walk.units(donation)["red-cells"])
    assert (
        f"Red cells in additive {shown} leaves the stock and waits to be put away.",
        f"Next for {show_code(donation)}: put the red cells away.",
    ) == told(last("unit-put-away"), walk.at).sentences
    strike(last("unit-put-away"), reason="The wrong door.", by="kim")
    assert [("ready", ""), ("being made", "")] == words(walk)
    assert 1 == len(stock(walk.at, limits(Book())))
    assert "Put the red cells away" == next_step(Book(), donation).words


def moved(walk, donation):
    place = walk.do(OpenPlace(name="Fridge 2", appliance="fridge")).the(PlaceOpened).place
    walk.do(PutAway(unit=walk.units(donation)["red-cells"], place=place, looks_well=True))


def test_a_move_stands_on_the_place_that_it_left(walk):
    donation = walk.on_the_shelf()
    first = last("unit-put-away")
    moved(walk, donation)
    move = last("unit-put-away")
    assert [f"Strike entry {move} (unit put away) first: it stands on this one."] == why_not(first)
    shown = show_code(walk.units(donation)["red-cells"])
    assert (f"Red cells in additive {shown} stands in Fridge 1 again, and in Fridge 2 no more.",) == (
        told(move, walk.at).sentences
    )


def test_plasma_whose_freezing_was_struck_is_not_put_back_as_fresh_frozen_when_it_is_late(walk):
    donation = walk.on_the_shelf()
    freezer, unit = walk.a_place("freezer"), walk.units(donation)["plasma"]
    strike(Entry.objects.filter(kind="unit-put-away").earliest("number").number, reason="Wrong.", by="kim")
    with pytest.raises(Refused, match="Too late for fresh frozen plasma"):
        walk.do(PutAway(unit=unit, place=freezer, looks_well=True), walk.at + timedelta(hours=9))


def test_what_was_discarded_comes_back_only_with_the_question_whether_it_is_there(walk):
    donation = walk.on_the_shelf()
    unit = walk.units(donation)["red-cells"]
    walk.do(DiscardUnit(unit=unit, reason="Leak"))
    back = "counts again, ready in {}: only if the bag is really there."
    assert (f"Red cells in additive {show_code(unit)} {back.format('Fridge 1')}",) == (
        told(last("unit-discarded"), walk.at).sentences
    )
    strike(last("unit-discarded"), reason="The other bag leaked.", by="kim")
    walk.do(DiscardDonation(donation=donation, reason="Recalled"))
    assert [("gone", "")] * 2 == words(walk)
    sentences = told(last("donation-discarded"), walk.at).sentences
    assert [f"{back.format(place)}" for place in ("Freezer 1", "Fridge 1")] == [
        each[each.index("counts again") :] for each in sentences
    ]


def test_a_unit_that_is_gone_has_no_label_that_waits(walk):
    donation = walk.weighed()
    walk.do(PrintLabel(donation=donation, part="plasma"))
    walk.do(DiscardUnit(unit=walk.units(donation)["plasma"], reason="Broken"))
    assert "Label the red cells" == next_step(Book(), donation).words
    assert [] == walk.why_not(PrintLabel(donation=donation, part="red-cells"))


@pytest.mark.parametrize(
    ("until", "kind", "sentence"),
    [
        ("draw_started", "draw-started", "leaves all lists. Destroy its stickers"),
        ("drawn", "draw-finished", "draw running."),
        ("spun", "spin-finished", "in the centrifuge."),
        ("expressed", "plasma-expressed", "press off the plasma."),
        ("weighed", "product-weighed", "weigh the red cells."),
    ],
)
def test_the_last_step_at_the_bench_is_taken_back_to_the_one_before(walk, until, kind, sentence):
    getattr(walk, until)()
    assert sentence in told(last(kind), walk.at).sentences[-1]


def test_a_spin_taken_back_puts_all_its_bags_back(walk):
    donations = walk.drawn(), walk.drawn()
    spin = walk.in_spin(*donations)
    assert (
        f"The spin run {show_code(spin)} leaves all lists. Destroy what carries its number.",
        *(f"Next for {show_code(each)}: waits for the spin." for each in donations),
    ) == told(last("spin-started"), walk.at).sentences


def test_a_struck_limit_leaves_printed_labels_as_they_are(walk):
    walk.on_the_shelf()
    walk.do(SetLimit(key="dog_red_cells_additive_days", value=10, reason="invented"))
    assert (
        "Labels that were printed keep their date; what is done from now on follows the limit before.",
    ) == (told(last("limit-set"), walk.at).sentences)


def test_what_touches_nothing_in_hand_says_nothing(walk):
    walk.on_the_shelf()
    assert () == told(last("programme-written"), walk.at).sentences
