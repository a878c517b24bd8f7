"""The pages of spins and rotors: each bad answer gets its sentence, keeps what was typed and records nothing."""

import re
from datetime import timedelta
from urllib.parse import urlencode

import pytest
from django.urls import reverse

from buffycoat.draws.models import DonationRow
from buffycoat.draws.rules import DiscardDonation
from buffycoat.journal.book import Book
from buffycoat.journal.models import Entry
from buffycoat.science.numbering import show_code
from buffycoat.site.rules import limits
from buffycoat.spins.models import SpinRow
from buffycoat.spins.rules import POOR, BagOutcome, FinishSpin
from tests.pages import answer, asked, fields, kinds_since, nothing_recorded, pdf, text
from tests.walk import unknown

pytestmark = pytest.mark.one_database


@pytest.fixture
def plan(walk):
    """The address of a spin that is put together."""

    def address(*bags, species="dog", fillers=(), **more):
        pairs = [("rotor", walk.a_rotor()), ("programme", f"Hard {species}"), *more.items()]
        pairs += [("filler", each) for each in fillers]
        return (
            f"{reverse('spin-new')}?{urlencode([*pairs, *(('with', f'{bag}={mass}') for bag, mass in bags)])}"
        )

    return address


def scan(client, address, code):
    return answer(client, address, form="scan-bag", donation=code)


@pytest.mark.parametrize("page", ["spins", "spin-new", "rotors", "rotor-new"])
def test_each_page_answers_in_an_empty_bank(client, page):
    assert 200 == client.get(reverse(page)).status_code


def test_without_a_programme_the_page_says_what_to_do_first(client):
    assert "No programme is written yet. Register the rotor and its programme first." in text(
        client.get(reverse("spin-new"))
    )


def test_only_programmes_for_the_waiting_bags_species_are_offered(client, walk):
    walk.a_rotor()
    page = client.get(reverse("spin-new"), {"bag": walk.drawn("cat")})
    assert "Hard cat, for a cat" in text(page)
    assert "Hard dog" not in text(page)


def test_the_waiting_bag_goes_from_programme_to_weight_to_rotor(client, walk):
    rotor, donation = walk.a_rotor(), walk.drawn("dog")
    chosen = answer(client, f"{reverse('spin-new')}?bag={donation}", programme=f"{rotor}/Hard dog")
    assert "What does this bag weigh as it goes into the bucket?" == asked(client.get(chosen.url))
    weighed = answer(client, chosen.url, mass_g="740")
    page = client.get(weighed.url)
    assert f"{show_code(donation)} weighs 740 g. Next: the next bag, or load as drawn." in text(page)
    assert "Filler: 738 g in place 3." in text(page)


def test_no_programme_chosen_is_said(client, walk):
    walk.a_rotor()
    assert "Programme: choose one." in text(answer(client, reverse("spin-new")))


def test_a_scanned_bag_is_weighed_next(client, walk, plan):
    donation = walk.drawn("dog")
    response = scan(client, plan(), donation.lower())
    assert f"bag={donation}" in response.url
    assert "After the draw the scale showed 734 g." in text(client.get(response.url))


def test_four_bags_of_mixed_masses_lie_in_balance_and_can_be_taken_out(client, walk, plan):
    bags = [(walk.drawn("dog"), mass) for mass in (700, 735, 690, 760)]
    page = client.get(plan(*bags))
    assert "In balance: opposite places are at most 2 g apart" in text(page)
    assert "too much" not in text(page)
    response = client.post(plan(*bags), {"take-out": bags[0][0]})
    assert bags[0][0] not in response.url
    assert bags[1][0] in response.url


@pytest.mark.parametrize(
    ("bag", "sentence"),
    [
        (lambda walk: unknown("G"), "No donation has the number"),
        (lambda walk: walk.draw_started("dog"), "is not finished: weigh the full bag first."),
        (lambda walk: walk.drawn("dog", gross_g=500), "is not for use"),
        (lambda walk: walk.spun("dog"), "was spun and is well separated: express its plasma."),
        (lambda walk: walk.drawn("cat"), "Hard dog is a programme for dog blood; these bags are from a cat."),
    ],
)
def test_a_bag_that_may_not_be_spun_is_refused_at_the_scan(client, walk, plan, bag, sentence):
    donation, address = bag(walk), plan()
    with nothing_recorded():
        response = scan(client, address, donation)
    assert sentence in text(response)
    assert "<title>Error: " in response.content.decode()
    assert f'value="{show_code(donation)}"' in response.content.decode()


def test_a_bag_in_another_spin_is_refused_there_and_from_a_link(client, walk, plan):
    donation = walk.drawn("dog")
    spin = walk.in_spin(donation)
    said = f"{show_code(donation)} is in spin {show_code(spin)} already."
    assert said in text(scan(client, plan(), donation))
    page = client.get(plan(bag=donation))
    assert said in text(page)
    other = walk.drawn("dog")
    address = re.search(r'id="scan-bag" method="post" action="([^"]*)"', page.content.decode())[1]
    assert (
        f"bag={other}"
        in client.post(address.replace("&amp;", "&"), {**fields(page, "scan-bag"), "donation": other}).url
    )


def test_a_discarded_bag_is_refused_with_its_reason(client, walk, plan):
    donation = walk.drawn("dog")
    walk.do(DiscardDonation(donation=donation, reason="It fell."))
    assert "was discarded: It fell." in text(scan(client, plan(), donation))


def test_two_species_in_one_spin_are_refused(client, walk, plan):
    dog, cat = walk.drawn("dog"), walk.drawn("cat")
    assert "Never two species in one spin: here are cat and dog." in text(scan(client, plan((dog, 734)), cat))


def test_a_bag_twice_in_one_spin_is_refused(client, walk, plan):
    donation = walk.drawn("dog")
    response = scan(client, plan((donation, 734)), donation)
    assert f"{show_code(donation)} is in this spin already: scan the next bag." in text(response)


def test_more_bags_than_places_are_refused(client, walk, plan):
    bags = [(walk.drawn("dog"), 734) for _ in range(4)]
    response = scan(client, plan(*bags), walk.drawn("dog"))
    assert "<title>Error: " in response.content.decode()


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("", "Bag is missing. Scan the main bag, or type its code."),
        ("40123", "A code of ours has 14 letters and figures; this has 5."),
        (show_code(unknown("U")), "That is a unit. Scan the main bag."),
        (unknown("G")[:-2] + "00", "a character was misread"),
    ],
)
def test_what_is_no_bag_gets_a_sentence_and_stays(client, plan, typed, sentence):
    response = scan(client, plan(), typed)
    assert sentence in text(response)
    assert typed in response.content.decode()


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("7E5", "has the letter E in it"),
        ("5", "5 g is less than can be right here."),
        ("9000", "9 000 g is more than can be right here."),
        ("", "is missing."),
    ],
)
def test_a_wrong_mass_gets_a_sentence_and_stays(client, walk, plan, typed, sentence):
    response = answer(client, plan(bag=walk.drawn("dog")), mass_g=typed)
    assert sentence in text(response)
    assert f'name="mass_g" value="{typed}"' in response.content.decode() or not typed


@pytest.mark.parametrize("rubbish", ["with=x=1", "bag=%00", "with=&bag=zzz", "bag=40123", "with=GHAVN=²"])
def test_rubbish_in_the_address_is_left_out(client, plan, rubbish):
    assert "Scan the first bag" == asked(client.get(f"{plan()}&{rubbish}"))


def test_an_unknown_rotor_or_programme_in_the_address_asks_for_one(client, walk):
    walk.a_rotor()
    page = client.get(reverse("spin-new"), {"rotor": unknown("T"), "programme": "None"})
    assert "Which programme runs?" == asked(page)


def test_a_spin_is_started_once_however_often_it_is_sent(client, walk, plan):
    bags = [(walk.drawn("dog"), 734), (walk.drawn("dog"), 740)]
    address = plan(*bags, fillers=["3=6"])
    before, page = Entry.objects.count(), client.get(address)
    first, second = (client.post(address, fields(page)) for _ in range(2))
    assert ["spin-started", "bag-put-in-spin", "bag-put-in-spin"] == kinds_since(before)
    spin = SpinRow.objects.get().spin
    assert reverse("spin-finish", args=[spin]) == first.url == second.url
    assert "The spin of 2 bags started at 4 931 × g. Next: wait" in text(client.get(first.url))


def test_the_filler_is_weighed_before_the_spin_can_start(client, walk, plan):
    bag = (walk.drawn("dog"), 734)
    page = client.get(plan(bag))
    assert "Weigh the filler" in text(page)
    assert "Start the spin" not in text(page)
    ready = fields(client.get(plan(bag, fillers=["3=734"])))
    with nothing_recorded():
        refused = client.post(plan(bag), ready)
    assert "Weigh the filler of place 3 first: it makes opposite buckets equal." in text(refused)
    weighing = plan(bag) + "&fill="
    assert "What does the filler of place 3 weigh?" == asked(client.get(weighing))
    weighed = answer(client, weighing, filler_g="735")
    page = client.get(weighed.url)
    assert "735 g of filler for place 3." in text(page)
    client.post(weighed.url, fields(page))
    assert [0, 0, 735, 0] == [place.filler_g for place in SpinRow.objects.get().places.all()]


@pytest.mark.parametrize("filler_g", ["731", "737"])
def test_filler_beyond_what_the_rotor_allows_is_refused_and_stays(client, walk, plan, filler_g):
    response = answer(client, plan((walk.drawn("dog"), 734)) + "&fill=", filler_g=filler_g)
    assert "732 to 736 g is wanted. Add some or take some away" in text(response)
    assert f'name="filler_g" value="{filler_g}"' in response.content.decode()


def test_filler_is_weighed_anew_when_a_bag_comes_in_or_goes_out(client, walk, plan):
    first, second = walk.drawn("dog"), walk.drawn("dog")
    out = client.post(plan((first, 734), (second, 740), fillers=["3=6"]), {"take-out": second})
    assert "filler" not in out.url
    scanned = scan(client, plan((first, 734), fillers=["3=734"]), second)
    assert "filler" not in answer(client, scanned.url, mass_g="740").url


def test_each_filler_of_a_spin_is_asked_for_in_turn(client, walk, plan):
    address = plan(*((walk.drawn("dog"), mass) for mass in (734, 640, 700)))
    told = []
    while "Start the spin" not in text(page := client.get(address)):
        told.append(asked(client.get(f"{address}&fill=")))
        wanted_g = re.search(r"about (\d+)", text(client.get(f"{address}&fill=")))[1]
        address = answer(client, f"{address}&fill=", filler_g=wanted_g).url.removesuffix("&fill=")
    assert 2 == len(set(told)) == len(told)
    assert SpinRow.objects.get(pk=client.post(address, fields(page)).url.split("/")[2])


def test_whoever_is_second_on_a_bag_is_told_who_was_faster(client, walk, plan):
    donation = walk.drawn("dog")
    address = plan((donation, 734), fillers=["3=734"])
    page = client.get(address)
    walk.by = "kim"
    walk.in_spin(donation)
    with nothing_recorded():
        response = client.post(address, fields(page))
    assert "kim was faster" in text(response)
    assert "Look afresh" in text(response)


def test_a_spin_that_starts_in_the_future_is_refused(client, walk, plan):
    address = plan((walk.drawn("dog"), 734), fillers=["3=734"])
    with nothing_recorded():
        response = answer(client, address, happened_at="31 Dec 2098 10:00")
    assert "The time given is still to come" in text(response)
    assert "31 Dec 2098 10:00" in response.content.decode()


def test_a_well_separated_bag_goes_on_to_its_plasma(client, walk):
    donation = walk.drawn("dog")
    address = reverse("spin-finish", args=[walk.in_spin(donation)])
    before, page = Entry.objects.count(), client.get(address)
    sent = {**fields(page), donation: "well separated"}
    first, second = (client.post(address, sent) for _ in range(2))
    assert ["spin-finished", "bag-spun"] == kinds_since(before)
    assert reverse("next-step", args=[donation]) == first.url == second.url
    said = text(client.get(first.url, follow=True))
    assert f"{show_code(donation)} well separated. Next: press off the plasma." in said


def test_a_poor_and_a_leaking_bag_are_said_with_their_consequence(client, walk):
    poor, leaking = walk.drawn("dog"), walk.drawn("dog")
    address = reverse("spin-finish", args=[walk.in_spin(poor, leaking)])
    response = answer(client, address, **{poor: POOR, leaking: "leaked"})
    said = text(client.get(response.url))
    assert f"{show_code(poor)} poorly separated, to be spun again" in said
    assert f"{show_code(leaking)} leaked and is discarded" in said
    assert "The bag leaked in the spin." == DonationRow.objects.get(pk=leaking).discarded


def test_each_bag_needs_its_outcome(client, walk):
    donation, other = walk.drawn("dog"), walk.drawn("dog")
    address = reverse("spin-finish", args=[walk.in_spin(donation, other)])
    with nothing_recorded():
        response = answer(client, address, **{donation: POOR})
    assert f"Bramble, …{other[8:12]}: choose one." in text(response)
    assert re.search(rf'name="{donation}" value="{POOR}"[^>]*checked', response.content.decode())


@pytest.mark.parametrize(
    ("minutes", "sentence"),
    [
        (-30, "A spin cannot end before it began"),
        (4, "The programme runs 10 min and only 4 have passed"),
    ],
)
def test_a_spin_cut_short_has_no_well_separated_bag(client, walk, minutes, sentence):
    donation = walk.drawn("dog")
    address = reverse("spin-finish", args=[walk.in_spin(donation)])
    zone = limits(Book()).zone
    stopped_at = SpinRow.objects.get().started_at.astimezone(zone) + timedelta(minutes=minutes, seconds=59)
    with nothing_recorded():
        response = answer(
            client, address, **{donation: "well separated", "happened_at": f"{stopped_at:%H:%M}"}
        )
    assert sentence in text(response)
    assert f'value="{stopped_at:%H:%M}"' in response.content.decode()


def test_whoever_is_second_at_the_centrifuge_is_told_who_was_faster(client, walk):
    donation = walk.drawn("dog")
    walk.a_rotor()
    spin = walk.in_spin(donation)
    address = reverse("spin-finish", args=[spin])
    page = client.get(address)
    walk.by = "kim"
    walk.wait(minutes=11)
    walk.do(FinishSpin(spin=spin, outcomes=(BagOutcome(donation=donation, outcome=POOR),)))
    with nothing_recorded():
        response = client.post(address, {**fields(page), donation: "well separated"})
    assert "kim was faster" in text(response)
    assert reverse("spin", args=[spin]) == client.get(address).url


def test_a_spin_tells_its_places_and_prints_its_sheet(client, walk):
    spin = walk.spin(walk.drawn("dog"))
    assert "Well separated" in text(client.get(reverse("spin", args=[spin])))
    assert show_code(spin)[:9] in text(client.get(reverse("spins"))).replace(" ", "")
    assert pdf(client.get(reverse("spin-sheet", args=[spin])))


@pytest.mark.parametrize("page", ["spin", "spin-finish", "spin-sheet"])
def test_an_unknown_spin_is_not_found(client, page):
    assert 404 == client.get(reverse(page, args=[unknown("R")])).status_code
