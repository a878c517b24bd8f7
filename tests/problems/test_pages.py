"""The pages of problems: said with the bag in hand, shown until settled, and the bag waits meanwhile."""

from datetime import UTC, datetime

import pytest
from django.contrib.auth import get_user_model
from django.urls import reverse

from buffycoat.journal.book import Book
from buffycoat.journal.registers import rebuild, snapshot
from buffycoat.journal.strike import StrikeEntry, strike
from buffycoat.problems.models import ProblemRow
from buffycoat.problems.rules import PUT_RIGHT, ReportProblem, SettleProblem
from buffycoat.science.numbering import show_code
from buffycoat.storage.models import ShelfRow
from buffycoat.trace.effects import effects_of
from tests.pages import answer, asked, nothing_recorded, text
from tests.walk import unknown

pytestmark = pytest.mark.one_database


@pytest.fixture
def plasma(walk):
    return walk.units(walk.on_the_shelf())["plasma"]


def about(code, back=""):
    return f"{reverse('problem')}?about={code}" + (f"&back={back}" if back else "")


def test_with_nothing_in_hand_it_is_scanned_first(client, plasma):
    assert "What is something wrong with? Scan it." == asked(client.get(reverse("problem")))
    assert about(plasma) == answer(client, reverse("problem"), about=plasma).url
    with nothing_recorded():
        assert "scan it again" in text(answer(client, reverse("problem"), about=unknown("P")))


def test_what_is_wrong_is_said_and_the_unit_waits_on_every_page(client, plasma):
    back = reverse("unit", args=[plasma])
    response = answer(client, about(plasma, back), what="leak", words="At the port")
    assert back == response.url
    page = text(client.get(response.url))
    assert "Leak: At the port. It waits until that is settled." in page
    assert "It waits. Do not give it until this is settled: Leak: At the port." in page
    stock = text(client.get(reverse("stock")))
    assert "Waiting Leak: At the port" in stock


def test_a_back_address_leads_nowhere_else(client, plasma):
    for elsewhere in ("https://example.org/", "//example.org/", "javascript:alert(1)"):
        response = answer(client, about(plasma, elsewhere), what="other", words=elsewhere)
        assert reverse("problems") == response.url


@pytest.mark.parametrize("code", ["nonsense", unknown("C")])
def test_of_what_has_no_problems_nothing_is_asked(client, code):
    assert 404 == client.get(about(code)).status_code


@pytest.mark.parametrize("kind", ["U", "P", "J"])
def test_what_is_not_in_the_book_is_asked_for_again(client, kind):
    page = client.get(about(unknown(kind)), follow=True)
    assert "What is something wrong with? Scan it." == asked(page)
    assert f"Nothing in the book has the number {show_code(unknown(kind))}: scan it again." in text(page)


def test_open_problems_come_first_and_are_settled_by_somebody_else(client, walk, plasma):
    walk.do(ReportProblem(about=plasma, what="clot"), datetime.now(UTC))
    row = ProblemRow.objects.get()
    page = text(client.get(reverse("problems")))
    assert "Clot or fibrin" in page
    settle = reverse("problem-settle", args=[row.problem])
    with nothing_recorded():
        refused = text(answer(client, settle, outcome="nothing-wrong", why="Looked against the light."))
        assert "robin reported it: somebody else must look and settle it." in refused
    client.force_login(get_user_model().objects.create_user("kim"))
    assert reverse("problems") == answer(client, settle, outcome="nothing-wrong", why="Only a fold.").url
    page = text(client.get(reverse("problems")))
    assert "Nothing is open." in page
    assert "Nothing is wrong with it: Only a fold." in page
    assert "" == ShelfRow.objects.get(pk=plasma).held
    assert "Settled" in text(client.get(settle))


def test_today_shows_what_waits_and_how_many_problems_are_open(client, walk, plasma):
    assert "to settle" not in text(client.get("/"))
    walk.do(ReportProblem(about=plasma, what="leak", words="At the port"))
    bag = walk.drawn()
    walk.do(ReportProblem(about=bag, what="colour"))
    page = text(client.get("/"))
    assert "Waiting Leak: At the port" in page
    assert "Waiting Wrong colour" in page
    assert "2 problems to settle" in page
    story = text(client.get(reverse("donation", args=[bag])))
    assert "All that comes of it waits until this is settled: Wrong colour." in story


def test_a_unit_that_waits_is_put_away_with_the_reason_and_may_be_discarded(client, walk):
    unit = walk.units(walk.labelled("cat"))["plasma"]
    walk.do(ReportProblem(about=unit, what="leak"))
    address = f"{reverse('put-away')}?unit={unit}"
    assert "It waits: put it where nobody takes it, until this is settled: Leak." in text(client.get(address))
    place = walk.a_place("freezer")
    stored = answer(client, address, place=place, looks_well="on")
    page = text(client.get(stored.url, follow=True))
    assert "It waits there until this is settled: Leak." in page
    answer(client, reverse("unit-discard", args=[unit]), why="broken or leaking", more="")
    assert "Gone" in text(client.get(reverse("unit", args=[unit])))


def test_a_unit_labelled_later_waits_for_what_was_said_of_its_donation(walk):
    donation = walk.weighed("cat")
    walk.do(ReportProblem(about=donation, what="clot"))
    walk.label(donation)
    assert {"Clot or fibrin"} == set(ShelfRow.objects.values_list("held", flat=True))


def test_of_a_place_only_what_can_be_wrong_with_a_place_is_asked(client, walk, plasma):
    place = client.get(about(walk.a_place("fridge"))).content.decode()
    assert 'value="device"' in place
    assert 'value="clot"' not in place
    assert 'value="clot"' in client.get(about(plasma)).content.decode()


@pytest.mark.parametrize("page", ["place", "unit", "donor", "rotor"])
def test_every_page_of_one_thing_has_the_door_with_the_thing_in_hand(client, walk, plasma, page):
    code = {
        "place": walk.a_place("fridge"),
        "unit": plasma,
        "donor": walk.a_donor("cat"),
        "rotor": walk.a_rotor(),
    }[page]
    html = client.get(reverse(page, args=[code])).content.decode()
    assert f'data-problem href="{reverse("problem")}?about={code}&amp;back=' in html
    assert "data-problem" not in client.get("/stock/").content.decode()


def test_to_take_a_report_back_says_that_the_unit_waits_no_more(walk, plasma):
    reported = walk.do(ReportProblem(about=plasma, what="leak")).lines
    row = ProblemRow.objects.get()
    then = effects_of(reported, walk.at).sentences
    assert (f"Fresh frozen plasma {show_code(plasma)} waits no more: ready.",) == then
    settled = walk.do(
        SettleProblem(about=plasma, problem=row.problem, outcome=PUT_RIGHT, why="Dry.", settled_by="kim")
    ).lines
    then = effects_of(settled, walk.at).sentences
    assert (f"Fresh frozen plasma {show_code(plasma)} will wait: Leak.",) == then
    why_not = list(StrikeEntry(entry_number=reported[0].number, reason="A slip.").why_not(Book(), walk.at))
    assert [f"Strike entry {settled[0].number} (problem settled) first: it stands on this one."] == why_not
    strike(settled[0].number, reason="A slip.", by="kim")
    assert "Leak" == ShelfRow.objects.get(pk=plasma).held
    strike(reported[0].number, reason="A slip.", by="kim")
    assert "" == ShelfRow.objects.get(pk=plasma).held
    assert [] == list(ProblemRow.objects.all())


def test_what_is_in_hand_goes_along_to_the_problem_page(client, walk):
    donation = walk.drawn()
    page = client.get(reverse("next-step", args=[donation]), follow=True)
    link = page.content.decode()
    assert f"{reverse('problem')}?about={donation}&amp;back=" in link


def test_registers_say_of_problems_what_the_book_says(walk, plasma):
    walk.do(ReportProblem(about=plasma, what="clot"))
    before = snapshot()
    assert "Clot or fibrin" == ShelfRow.objects.get(pk=plasma).held
    rebuild()
    assert before == snapshot()
