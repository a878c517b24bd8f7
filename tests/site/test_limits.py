"""A limit is changed by a person, with a reason, inside its range, and from then on it holds."""

import pytest

from buffycoat.journal.facts import Refused
from buffycoat.site.limits import GROUPS, LIMITS
from buffycoat.site.rules import Limits, SetLimit, limits, why_not_value
from tests.walk import pure_walk


def set_limit(key="freezer_clock_h", value=6, reason="Decided by the veterinarian"):
    return SetLimit(key=key, value=value, reason=reason)


def test_a_limit_is_the_default_until_the_site_sets_it():
    walk = pure_walk()
    assert 8 == limits(walk.look).whole("freezer_clock_h")
    walk.do(set_limit(value=6))
    assert 6 == limits(walk.look).whole("freezer_clock_h")
    assert "HAVN" == limits(walk.look).text("site_code")


def test_the_last_word_on_a_limit_counts_and_leaves_the_others_alone():
    walk = pure_walk()
    for value in (6, 5):
        walk.do(set_limit(value=value))
    walk.do(set_limit("least_segments", 4))
    site = limits(walk.look)
    assert (5, 4, 15) == tuple(
        site.whole(key) for key in ("freezer_clock_h", "least_segments", "longest_draw_min")
    )


@pytest.mark.parametrize(
    ("command", "reasons"),
    [
        (set_limit("no_such_thing"), ["There is no setting called no_such_thing."]),
        (set_limit(reason=" "), ["Say why, and on whose word: the reason stays beside the setting."]),
        (
            set_limit(value="eight"),
            ["From the end of the draw to the freezer, fresh frozen plasma is a whole number of h."],
        ),
        (
            set_limit(value=25),
            ["From the end of the draw to the freezer, fresh frozen plasma: 25 h is outside 4 to 24 h."],
        ),
        (set_limit("site_name", "  "), ["Name of the blood bank must not be empty."]),
        (set_limit("site_name", "Invented bank"), []),
        (
            set_limit("site_code", "HAVEN"),
            ["The site's code is four letters from A C D E F G H J K M N P Q R T U V W X."],
        ),
        (
            set_limit("site_code", "BANK"),
            ["The site's code is four letters from A C D E F G H J K M N P Q R T U V W X."],
        ),
        (set_limit("site_code", "HAVN"), []),
        (set_limit("time_zone", "Lisbon"), ["Lisbon is no time zone: write a name such as Europe/Lisbon."]),
        (set_limit("time_zone", "Europe/Lisbon"), []),
    ],
)
def test_a_setting_is_refused_in_words(command, reasons):
    assert reasons == pure_walk().why_not(command)


@pytest.mark.parametrize(("value", "taken"), [(3, False), (4, True), (24, True), (25, False), (-8, False)])
def test_the_ends_of_a_range_are_inside_it(value, taken):
    assert taken == (pure_walk().why_not(set_limit(value=value)) == [])


def test_all_reasons_come_at_once():
    assert 2 == len(pure_walk().why_not(set_limit(value=99, reason="")))


def test_a_refused_setting_changes_nothing():
    walk = pure_walk()
    with pytest.raises(Refused, match="outside 4 to 24 h"):
        walk.do(set_limit(value=99))
    assert {} == limits(walk.look).set_here


@pytest.mark.parametrize(
    "limit", [each for each in LIMITS.values() if isinstance(each.default, int)], ids=lambda each: each.key
)
def test_every_default_lies_inside_its_own_range(limit):
    assert limit.least <= limit.default <= limit.most
    assert limit.unit


@pytest.mark.parametrize("limit", LIMITS.values(), ids=lambda each: each.key)
def test_every_limit_names_where_its_default_comes_from(limit):
    assert limit.source.endswith(".")


def test_no_limit_is_there_twice():
    assert len(LIMITS) == sum(len(group) for _, group in GROUPS)


def test_the_time_zone_of_the_site_is_the_one_it_set():
    walk = pure_walk()
    walk.do(set_limit("time_zone", "Europe/Lisbon"))
    assert "Europe/Lisbon" == walk.look(Limits, "limits").zone.key


@pytest.mark.parametrize("code", ["HAV", "HAVNX", "HAVB", "havn"])
def test_the_code_of_a_site_is_four_letters_that_no_keyboard_moves(code):
    [reason] = why_not_value("site_code", code)
    assert reason.startswith("The site's code is four letters from A C D")
    assert [] == list(why_not_value("site_code", "HAVN"))
