"""Undo last: at every step, with the effect told before, and then the step again with what was written."""

from urllib.parse import parse_qs, urlsplit

import pytest
from django.urls import reverse

from buffycoat.draws.rules import DiscardDonation
from buffycoat.draws.spares import GiveSpareNumbers
from buffycoat.journal.book import Book, standing
from buffycoat.journal.models import Entry
from buffycoat.journal.registers import rebuild
from buffycoat.labels.rules import PrintLabel, ScanLabelBack
from buffycoat.science.numbering import show_code
from buffycoat.separation.rules import ExpressPlasma, KeepWhole, LoseAdditive, Separation
from buffycoat.spins.rules import WELL, BagOutcome, FinishSpin, Spin
from buffycoat.storage.rules import PutAway
from tests.pages import answer, asked, fields, kinds_since, nothing_recorded, text
from tests.walk import unknown

pytestmark = pytest.mark.one_database
WRONG = {"why": "wrong weight"}


def undo(client, code, **typed):
    return answer(client, reverse("undo", args=[code]), **{**WRONG, **typed})


def codes(kind):
    """The codes of the streams in which a kind of fact stands, in the order of the book."""
    entries = Entry.objects.filter(kind=kind).order_by("number")
    return [entry.stream.partition("/")[2] for entry in entries]


@pytest.mark.parametrize(
    ("until", "told"),
    [
        ("draw_started", "Draw started"),
        ("drawn", "Draw finished"),
        ("spun", "Bag spun, Well separated"),
        ("expressed", "Plasma expressed"),
        ("separated", "Segments sealed, Segments: 4"),
        ("weighed", "Product weighed"),
    ],
)
def test_each_step_of_the_bench_offers_to_take_back_the_one_before(client, walk, until, told):
    donation = getattr(walk, until)()
    page = client.get(reverse("next-step", args=[donation]), follow=True)
    if until == "drawn":  # the page of the draw says what came of it; loading the centrifuge is another job
        page = client.get(reverse("draw-finish", args=[donation]))
    assert f'href="{reverse("undo", args=[donation])}" data-undo' in page.content.decode()
    assert f"Undo last {told}" in text(page)
    assert "by robin" in text(page)


def test_labels_storage_and_stories_offer_it_too(client, walk):
    donation = walk.weighed()
    unit = walk.do(PrintLabel(donation=donation, part="plasma")).lines[0].fact.unit
    scan_back = client.get(reverse("label-scan-back", args=[donation]))
    assert "Undo last Label printed" in text(scan_back)
    walk.do(ScanLabelBack(donation=donation, unit=unit))
    assert "Undo last Label scanned back" in text(
        client.get(reverse("label-print", args=[donation, "red-cells"]))
    )
    assert "Undo last Label scanned back" in text(client.get(reverse("put-away"), {"unit": unit}))
    walk.do(PutAway(unit=unit, place=walk.a_place("freezer"), looks_well=True))
    for name, code in (("donation", donation), ("unit", unit)):
        assert "Undo last Unit put away" in text(client.get(reverse(name, args=[code])))


def test_donor_lot_rotor_place_and_spin_offer_it_on_their_pages(client, walk):
    donor, lot, rotor, place = walk.a_donor(), walk.a_lot(), walk.a_rotor(), walk.a_place("fridge")
    spin = walk.in_spin(walk.drawn())
    for name, code in (
        ("donor", donor),
        ("bag-set", lot),
        ("rotor", rotor),
        ("place", place),
        ("spin", spin),
    ):
        assert reverse("undo", args=[code]) in client.get(reverse(name, args=[code])).content.decode()
    assert reverse("undo", args=[spin]) in client.get(reverse("spin-finish", args=[spin])).content.decode()


def test_a_draw_is_taken_back_at_its_own_page_not_at_the_donors(client, walk):
    donor = walk.a_donor()
    walk.draw_started(donor=donor)
    assert reverse("undo", args=[donor]) not in client.get(reverse("donor", args=[donor])).content.decode()


def test_the_page_tells_what_is_taken_back_and_what_it_changes_before_it_asks(client, walk):
    donation = walk.expressed()
    page = text(client.get(reverse("undo", args=[donation])))
    assert "Take this back?" in page
    assert f"What it changes Next for {show_code(donation)}: press off the plasma." in page
    assert "ask before you take it back" not in page


def test_what_someone_else_recorded_is_taken_back_with_a_word_of_warning(client, walk):
    walk.by = "kim"
    page = text(client.get(reverse("undo", args=[walk.expressed()])))
    assert "Recorded by kim , not by you: ask before you take it back." in page


def test_after_the_undo_the_step_is_asked_again_with_the_old_values_and_its_time(client, walk):
    donation = walk.spun()
    walk.press(donation, 226)
    before = Entry.objects.count()
    response = undo(client, donation)
    assert ["entry-struck"] == kinds_since(before)
    page = client.get(response.url)
    assert "How much plasma came off?" == asked(page)
    assert "Taken back: plasma expressed. It stays readable in the book." in text(page)
    assert 'name="plasma_g" value="226"' in page.content.decode()
    assert 'name="happened_at" value="' in page.content.decode()
    assert "Struck by robin" in text(client.get(reverse("story", args=[donation])))
    answer(client, response.url, plasma_g="231", happened_at="")
    assert 231 == Book()(Separation, donation).expressed.plasma_g


def test_an_address_fills_in_what_people_type_and_nothing_that_guards_the_form(client, walk):
    address = reverse("separation-express", args=[walk.spun()])
    page = client.get(address, {"plasma_g": "226", "command_id": "0" * 32, "seen": "{}"})
    assert 'name="plasma_g" value="226"' in page.content.decode()
    assert fields(page)["command_id"].replace("-", "") != "0" * 32
    assert "{}" != fields(page)["seen"]


def test_the_values_of_a_wrong_bag_are_not_offered_for_the_right_one(client, walk):
    donation = walk.expressed()
    response = undo(client, donation, why="wrong bag scanned")
    assert reverse("next-step", args=[donation]) == response.url
    assert 'name="plasma_g" value=' not in client.get(response.url, follow=True).content.decode()


def taken_back(client, walk, donation):
    """Takes the last step of a donation back and gives the page that it leads to, with what is filled in."""
    address = urlsplit(undo(client, donation).url)
    page = client.get(address.geturl())
    assert 200 == page.status_code, address
    values = {name: each[0] for name, each in parse_qs(address.query).items() if name != "happened_at"}
    for typed in "=".join(values.values()).split("="):
        assert typed in page.content.decode()
    return address.path, values


def test_a_donation_is_taken_back_step_by_step_to_its_beginning_and_each_step_is_asked_again(client, walk):
    donation = walk.on_the_shelf()
    units = walk.units(donation)
    weighed = {part: fact.gross_g for part, fact in _weighed(donation).items()}
    plasma_g = Book()(Separation, donation).expressed.plasma_g
    draw = Book()(Separation, donation).draw
    steps = [
        (reverse("put-away"), {"unit": units["red-cells"]}),
        (reverse("put-away"), {"unit": units["plasma"]}),
        (reverse("label-scan-back", args=[donation]), {}),
        (reverse("label-print", args=[donation, "red-cells"]), {}),
        (reverse("label-scan-back", args=[donation]), {}),
        (reverse("label-print", args=[donation, "plasma"]), {}),
        (
            reverse("separation-weigh", args=[donation, "red-cells"]),
            {"gross_g": str(weighed["red-cells"])},
        ),
        (reverse("separation-weigh", args=[donation, "plasma"]), {"gross_g": str(weighed["plasma"])}),
        (reverse("separation-segments", args=[donation]), {"segments": "4"}),
        (reverse("separation-clots", args=[donation]), {}),
        (reverse("separation-additive", args=[donation]), {"outcome": "ran-in"}),
        (reverse("separation-express", args=[donation]), {"plasma_g": str(plasma_g)}),
        (reverse("spin-finish", args=[codes("spin-finished")[0]]), {}),
        (
            reverse("spin-new"),
            {
                "rotor": codes("rotor-registered")[0],
                "programme": "Hard dog",
                "with": f"{donation}={draw.finished.gross_g}",
                "filler": "3=732",
            },
        ),
        (reverse("draw-finish", args=[donation]), {"gross_g": str(draw.finished.gross_g)}),
    ]
    assert steps == [taken_back(client, walk, donation) for _ in steps]
    path = urlsplit(undo(client, donation).url)
    values = {name: each[0] for name, each in parse_qs(path.query).items() if name != "happened_at"}
    started = draw.started
    assert {
        "donor": started.donor,
        "lot": started.lot,
        "tare_g": str(started.tare_g),
        "wanted_ml": str(started.wanted_ml),
    } == values
    page = client.get(path.geturl())
    assert "How much is to be drawn?" == asked(page)
    assert 'name="happened_at" value="' in page.content.decode()
    assert [] == standing(f"donation/{donation}")
    assert rebuild(check=True) > 0


def _weighed(donation):
    facts = [line.fact for line in standing(f"donation/{donation}") if line.fact.kind == "product-weighed"]
    return {fact.part: fact for fact in facts}


def test_a_draw_and_a_label_written_under_spare_numbers_keep_them_when_they_are_asked_again(client, walk):
    given = walk.do(GiveSpareNumbers(sheets=1)).lines
    donation, unit = given[0].fact.spare, given[1].fact.spare
    walk.draw_started(number=donation)
    page = client.get(undo(client, donation).url)
    assert donation == fields(page)["number"].replace("-", "")
    walk.drawn(number=donation)
    walk.do(KeepWhole(donation=donation))
    walk.finish_cells(donation)
    walk.weigh(donation)
    walk.do(PrintLabel(donation=donation, part="whole-blood", number=unit))
    page = client.get(undo(client, donation).url)
    assert f'name="number" value="{show_code(unit)}"' in page.content.decode()


def test_what_was_said_of_a_lost_additive_is_asked_again(client, walk):
    donation = walk.expressed()
    walk.do(LoseAdditive(donation=donation, reason="It leaked"))
    path = reverse("separation-additive", args=[donation])
    assert (path, {"outcome": "lost", "reason": "It leaked"}) == taken_back(client, walk, donation)


def test_a_discard_taken_back_leads_to_where_the_bag_stands_now(client, walk):
    donation = walk.drawn()
    walk.do(DiscardDonation(donation=donation, reason="Clot"))
    assert reverse("next-step", args=[donation]) == undo(client, donation).url


def test_things_of_the_desk_are_asked_again_with_what_was_written(client, walk):
    donor, lot, rotor, place = walk.a_donor("cat"), walk.a_lot(), walk.a_rotor(), walk.a_place("fridge")
    examine, type_ = (reverse(name, args=[donor]) for name in ("donor-examine", "donor-type"))
    assert (examine, {"weight_g": "5.2", "pcv_permille": "38"}) == taken_back(client, walk, donor)
    assert (type_, {"method": "card"}) == taken_back(client, walk, donor)
    path, values = taken_back(client, walk, donor)
    assert (reverse("donor-new"), "Sorrel", "1 Feb 2022") == (path, values["name"], values["born_on"])
    path, values = taken_back(client, walk, lot)
    assert (reverse("bag-set-new"), "INV-450", "63") == (
        path,
        values["maker_lot"],
        values["anticoagulant_ml"],
    )
    path, values = taken_back(client, walk, rotor)
    assert (reverse("rotor", args=[rotor]), "10", "4200") == (path, values["minutes"], values["rpm"])
    assert (reverse("place-new"), {"name": "Fridge 1", "appliance": "fridge"}) == taken_back(
        client, walk, place
    )


def test_a_reason_is_chosen_and_other_words_are_said(client, walk):
    donation = walk.expressed()
    with nothing_recorded():
        assert "Why: choose one." in text(undo(client, donation, why=""))
        assert "“other” alone tells nobody why" in text(undo(client, donation, why="other"))
    undo(client, donation, why="other", more="The scale stood askew.")
    struck = Entry.objects.latest("number")
    assert '"reason":"The scale stood askew"' in struck.line


def test_a_double_tap_takes_back_one_step(client, walk):
    donation = walk.expressed()
    address = reverse("undo", args=[donation])
    before = Entry.objects.count()
    sent = {**fields(client.get(address)), **WRONG, "more": ""}
    first, second = (client.post(address, sent) for _ in range(2))
    assert first.url == second.url
    assert ["entry-struck"] == kinds_since(before)


def test_who_was_slower_takes_nothing_back(client, walk):
    donation = walk.expressed()
    address = reverse("undo", args=[donation])
    sent = {**fields(client.get(address)), **WRONG, "more": ""}
    walk.by = "kim"
    walk.do(LoseAdditive(donation=donation, reason="It leaked"))
    with nothing_recorded():
        page = client.post(address, sent)
    assert "kim was faster" in text(page)
    assert "Additive lost" in text(page)  # what is last now is what the page asks about


def test_a_strike_page_that_was_overtaken_strikes_nothing(client, walk):
    donation = walk.expressed()
    address = reverse("journal-strike", args=[Entry.objects.get(kind="plasma-expressed").number])
    sent = {**fields(client.get(address)), "reason": "Misread."}
    walk.by = "kim"
    walk.do(LoseAdditive(donation=donation, reason="It leaked"))
    with nothing_recorded():
        assert "kim was faster" in text(client.post(address, sent))


def test_a_spin_that_finished_several_bags_is_taken_back_whole_or_not_at_all(client, walk):
    first, second = walk.drawn(), walk.drawn()
    spin = walk.spin(first, second)
    page = text(client.get(reverse("undo", args=[first])))
    assert "These 3 entries were written in one step" in page
    assert show_code(second) in page
    walk.press(second)
    page = text(client.get(reverse("undo", args=[first])))
    pressed = Entry.objects.get(kind="plasma-expressed").number
    assert "This cannot be taken back yet" in page
    assert f"Why not Strike entry {pressed} (plasma expressed) first: it stands on this one." in page
    linked = f'Strike <a href="{reverse("journal-strike", args=[pressed])}">entry {pressed}</a> (plasma'
    assert linked in client.get(reverse("undo", args=[first])).content.decode()
    undo(client, second)
    assert reverse("spin-finish", args=[spin]) in undo(client, first).url
    assert {spin} == {Book()(Separation, each).spun.in_spin for each in (first, second)}
    outcomes = tuple(BagOutcome(donation=each, outcome=WELL) for each in (first, second))
    walk.wait(minutes=15)
    walk.do(FinishSpin(spin=spin, outcomes=outcomes))
    assert Book()(Spin, spin).finished


@pytest.mark.parametrize("name", ["undo", "void", "story"])
@pytest.mark.parametrize("kind", ["G", "U", "H", "C"])
def test_what_was_never_written_has_nothing_to_take_back(client, name, kind):
    assert 404 == client.get(reverse(name, args=[unknown(kind)])).status_code


def test_the_plasma_of_another_weight_is_written_after_the_undo_of_all_that_stands_on_it(client, walk):
    donation = walk.expressed()
    walk.finish_cells(donation)
    for _ in range(3):
        undo(client, donation)
    undo(client, donation)
    walk.do(ExpressPlasma(donation=donation, plasma_g=220))
    assert 220 == Book()(Separation, donation).expressed.plasma_g
