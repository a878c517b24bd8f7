"""Pictures tell the truth: areas, angles and bars are to scale, no words overlap, what people typed is escaped."""

import math
import re
from datetime import date, timedelta
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buffycoat.shell.pictures import Picture, drawing
from buffycoat.shell.pictures.bag import Layer, StopLine, draw_bag
from buffycoat.shell.pictures.family import Node, draw_family
from buffycoat.shell.pictures.rotor import Place, draw_rotor
from buffycoat.shell.pictures.shelf_strip import Unit, draw_shelf_strip
from buffycoat.shell.pictures.timeline import Event, draw_timeline
from tests.shell.gallery import pages

SVG = "{http://www.w3.org/2000/svg}"
TODAY = date(2026, 10, 24)
LONG = "Wilhelmina Maximiliana of the Whispering Meadows, called Mimi by everyone who works here"
UNBROKEN = "W" * 60
LAYERS = pages.LAYERS


def drawn(picture: Picture) -> ElementTree.Element:
    return ElementTree.fromstring(picture.svg)


def shapes(picture: Picture, tag: str, kind: str) -> list[ElementTree.Element]:
    return [each for each in drawn(picture).iter(SVG + tag) if kind in each.get("class", "").split()]


def numbers(element: ElementTree.Element, *names: str) -> list[float]:
    return [float(element.get(name, "nan")) for name in names]


def boxes(picture: Picture) -> list[tuple[str, float, float, float, float]]:
    """Left, top, right and bottom of each text, by the table of letter widths."""
    found = []
    for text in drawn(picture).iter(SVG + "text"):
        (x, y, size), words = numbers(text, "x", "y", "font-size"), text.text or ""
        width = drawing.width_of(words, size)
        left = x - width / 2 if text.get("text-anchor") == "middle" else x
        found.append((words, left, y - size * 0.8, left + width, y + size * 0.22))
    return found


def crowding(picture: Picture) -> list[str]:
    """Texts that overlap one another or leave the picture."""
    found = boxes(picture)
    _, _, wide, tall = map(float, drawn(picture).get("viewBox", "").split())
    faults = [
        f"{w!r} is cut"
        for w, left, top, right, foot in found
        if left < 0 or top < 0 or right > wide or foot > tall
    ]
    for i, (one, l1, t1, r1, f1) in enumerate(found):
        for other, l2, t2, r2, f2 in found[i + 1 :]:
            if l1 < r2 - 0.5 and l2 < r1 - 0.5 and t1 < f2 - 0.5 and t2 < f1 - 0.5:
                faults.append(f"{one!r} overlaps {other!r}")
    return faults


def rotor(count: int, *, name: str = "GKTRA000421764", filler_g: int = 8) -> Picture:
    places = [Place(label=str(i + 1), bag_code=name, bag_g=1_583, filler_g=filler_g) for i in range(count)]
    return draw_rotor(places, pair_limit_g=10)


def tree(title: str, lines: tuple[str, ...] = ()) -> Picture:
    nodes = [
        Node(key=str(i), title=title, lines=lines, status="use-first" if i > 1 else "") for i in range(7)
    ]
    edges = [("0", "1"), ("1", "2"), ("1", "3"), ("1", "4"), ("2", "5"), ("4", "6")]
    return draw_family(nodes, edges)


def strip(names: list[str]) -> Picture:
    units = [
        Unit(
            name=name,
            note="",
            starts_on=TODAY - timedelta(days=9 * i),
            expires_on=TODAY + timedelta(days=400 * i - 3),
            promised=bool(i % 2),
        )
        for i, name in enumerate(names)
    ]
    return draw_shelf_strip(units, today=TODAY)


def events(title: str, count: int = 4, gap: int = 700) -> Picture:
    return draw_timeline(
        [
            Event(
                at_text="24 Oct 2026, 14:05",
                minute_offset=gap * i,
                title=title,
                detail=title,
                by=title,
                struck=i == 1,
            )
            for i in range(count)
        ]
    )


EVERY_PICTURE = {
    "bag": pages.bag(),
    "bag without a stop": draw_bag(LAYERS),
    "bag with thin layers": draw_bag(
        [
            Layer("plasma", 3, 3),
            Layer("buffy coat", 1, 1),
            Layer("red cells", 400, 430),
            Layer("additive", 2, 2),
        ],
        stop_line=StopLine(express_ml=1, express_g=1, leave_ml=2),
    ),
    "bag with a long name": draw_bag([Layer("plasma " + LONG, 200, 205), Layer("red cells", 200, 210)]),
    "nearly empty bag": draw_bag([Layer("red cells", 30, 33)], capacity_ml=600),
    "empty bag": draw_bag([]),
    **{f"rotor of {count}": rotor(count) for count in (2, 4, 6, 8, 10, 12)},
    "rotor with an unknown code": rotor(6, name=LONG, filler_g=0),
    "rotor of the gallery": pages.rotor(),
    "family": pages.family(),
    "family with long names": tree(LONG, (LONG, UNBROKEN)),
    "family of one": draw_family([Node(key="d", title="Bramble")], []),
    "timeline": pages.timeline(),
    "timeline with long words": events(LONG + UNBROKEN),
    "empty timeline": draw_timeline([]),
    "shelf": pages.strip(),
    "shelf with long names": strip([LONG, UNBROKEN, "…4217 red cells", "", "x"]),
    "empty shelf": strip([]),
}


@pytest.mark.parametrize("name", EVERY_PICTURE)
def test_no_words_overlap_or_are_cut(name):
    assert [] == crowding(EVERY_PICTURE[name])


@pytest.mark.parametrize("name", EVERY_PICTURE)
def test_no_letters_fall_below_14_pixels(name):
    root = drawn(EVERY_PICTURE[name])
    smallest = min((float(text.get("font-size", "0")) for text in root.iter(SVG + "text")), default=17)
    least = int(re.search(r"pic-least-(\d+)", root.get("class", ""))[1])
    assert smallest * least / float(root.get("width", "0")) >= 14


@pytest.mark.parametrize("name", EVERY_PICTURE)
def test_every_picture_states_its_conclusion_and_has_a_whole_table(name):
    picture = EVERY_PICTURE[name]
    assert picture.alt.endswith(".")
    assert drawn(picture).get("aria-label") == picture.alt
    assert all(len(picture.columns) == len(row) for row in picture.rows)


@pytest.mark.parametrize("name", EVERY_PICTURE)
def test_no_picture_brings_its_own_style(name):
    for element in drawn(EVERY_PICTURE[name]).iter():
        assert element.get("style") is None
        assert element.tag not in (SVG + "style", SVG + "script")


def area(polygon: ElementTree.Element) -> float:
    points = [tuple(map(float, pair.split(","))) for pair in polygon.get("points", "").split()]
    pairs = zip(points, points[1:] + points[:1], strict=True)
    return abs(sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairs)) / 2


HALF_A_DOT = 90  # of a bag 180 dots wide: no eye sees less


@given(st.lists(st.floats(min_value=2, max_value=500), min_size=1, max_size=5))
@settings(max_examples=30, deadline=None)
def test_areas_of_layers_are_as_their_millilitres(volumes):
    picture = draw_bag([Layer(f"layer {i}", ml, ml) for i, ml in enumerate(volumes)])
    areas = [area(band) for band in shapes(picture, "polygon", "bag-layer")]
    per_ml = sum(areas) / sum(volumes)
    for drawn_area, ml in zip(areas, volumes, strict=True):
        assert drawn_area == pytest.approx(ml * per_ml, rel=0.02, abs=HALF_A_DOT)


def test_a_bag_on_the_scale_of_a_larger_one_is_filled_by_its_share():
    full, half = (draw_bag([Layer("plasma", ml, ml)], capacity_ml=600) for ml in (560, 280))
    areas = [area(shapes(picture, "polygon", "bag-layer")[0]) for picture in (full, half)]
    assert areas[0] == pytest.approx(2 * areas[1], rel=0.01)


def test_the_stop_line_has_what_is_pressed_off_above_it_and_what_stays_below():
    picture = draw_bag(
        [Layer("plasma", 200, 205), Layer("red cells", 200, 220)],
        stop_line=StopLine(express_ml=100, express_g=103, leave_ml=100),
    )
    line = shapes(picture, "path", "stop-line")[0].get("d", "")
    stop_y = float(re.search(r"M\S+ (\S+)L", line)[1])
    plasma = [
        tuple(map(float, p.split(",")))
        for p in shapes(picture, "polygon", "bag-plasma")[0].get("points", "").split()
    ]
    points = sorted({y for _, y in plasma})
    above = area(ElementTree.Element("p", points=" ".join(f"{x},{y}" for x, y in plasma if y <= stop_y)))
    assert points[0] < stop_y < points[-1]
    assert above / area(shapes(picture, "polygon", "bag-plasma")[0]) == pytest.approx(0.5, abs=0.02)


def test_layers_are_told_apart_without_colour():
    picture = draw_bag([*LAYERS, Layer("additive", 100, 101)])
    patterns = [each.get("fill", "").split("-")[0] for each in shapes(picture, "polygon", "bag-hatch")]
    assert 3 == len(set(patterns))


def test_the_bag_says_how_much_to_press_off():
    assert (
        "Press off 231\u00a0g (225\u00a0mL) and stop at the line: 33\u00a0mL stays on the cells. "
        "From the top: plasma 258\u00a0mL, buffy coat 5\u00a0mL, red cells 250\u00a0mL."
    ) == pages.bag().alt


@pytest.mark.parametrize("count", [2, 4, 6, 8, 12])
def test_buckets_stand_at_true_angles_and_do_not_touch(count):
    spots = [numbers(bucket, "cx", "cy", "r") for bucket in shapes(rotor(count), "circle", "bucket")]
    angles = [math.degrees(math.atan2(x - 300, 300 - y)) % 360 for x, y, _ in spots]
    assert angles == pytest.approx([360 * i / count for i in range(count)], abs=0.1)
    apart = math.dist(spots[0][:2], spots[1][:2])
    assert apart > spots[0][2] + spots[1][2]


def places(*masses: int) -> list[Place]:
    return [Place(label=str(i), bag_code="GKTRA000421764", bag_g=g) for i, g in enumerate(masses, start=1)]


def test_the_dot_lies_where_the_rotor_pulls():
    picture = draw_rotor(places(505, 500, 500, 500), pair_limit_g=10)
    (dot,) = shapes(picture, "circle", "pull")
    (ring,) = shapes(picture, "circle", "limit-ring")
    (x, y), (cx, cy, radius) = numbers(dot, "cx", "cy"), numbers(ring, "cx", "cy", "r")
    assert (x, y) == pytest.approx((cx, cy - radius / 2), abs=0.2)


def test_the_dot_turns_with_the_places_clockwise():
    picture = draw_rotor(places(500, 505, 500, 500), pair_limit_g=10)
    (x, _), (cx, _) = (
        numbers(shapes(picture, "circle", kind)[0], "cx", "cy") for kind in ("pull", "limit-ring")
    )
    assert x > cx


def test_bars_are_as_long_as_the_difference_against_the_limit():
    picture = draw_rotor(places(500, 500, 505, 500), pair_limit_g=10)
    (bar,) = shapes(picture, "rect", "bar")
    track = shapes(picture, "rect", "bar-track")[0]
    assert numbers(bar, "width")[0] == pytest.approx(numbers(track, "width")[0] / 2)


@pytest.mark.parametrize(
    ("conclusion", "masses"),
    [
        (
            "In balance: opposite places are at most 5\u00a0g apart; the limit is 10\u00a0g. No filler is needed.",
            (505, 500, 500, 500),
        ),
        (
            "Not in balance: places 2 and 4 are 22\u00a0g apart; the limit is 10\u00a0g.",
            (500, 522, 500, 500),
        ),
        (
            "Not in balance: all places together pull 13\u00a0g to one side; the limit is 10\u00a0g.",
            (509, 509, 500, 500),
        ),
    ],
)
def test_the_rotor_says_whether_it_is_in_balance(conclusion, masses):
    assert conclusion == draw_rotor(places(*masses), pair_limit_g=10).alt


def test_filler_is_hatched_and_said():
    picture = draw_rotor([*places(500, 500, 500), Place(label="4", filler_g=500)], pair_limit_g=10)
    assert 1 == len(shapes(picture, "circle", "bucket-hatch"))
    assert picture.alt.endswith("Filler: 500\u00a0g in place 4.")


def test_the_family_says_what_came_of_the_donor():
    assert "From Bramble (invented) came Red cells (ready), Plasma (promised)." == pages.family().alt


def test_a_struck_node_is_dashed_and_stays():
    assert 1 == len(shapes(pages.family(), "rect", "card-struck"))
    assert "struck" in pages.family().rows[-1][2]


def test_cards_of_a_family_do_not_overlap():
    picture = tree(LONG, (LONG,))
    cards = [numbers(card, "x", "y", "width", "height") for card in shapes(picture, "rect", "card")]
    assert 7 == len(cards)
    for i, (x, y, wide, tall) in enumerate(cards):
        for x2, y2, wide2, tall2 in cards[i + 1 :]:
            assert x + wide <= x2 or x2 + wide2 <= x or y + tall <= y2 or y2 + tall2 <= y


@pytest.mark.parametrize("edges", [[("a", "nobody")], [("a", "b"), ("b", "a")]])
def test_a_family_that_cannot_be_is_an_error(edges):
    with pytest.raises(ValueError, match=r"no node|own ancestor"):
        draw_family([Node(key="a", title="A"), Node(key="b", title="B")], edges)


def test_a_child_of_two_parents_is_drawn_once():
    nodes = [Node(key=key, title=key) for key in "abcd"]
    picture = draw_family(nodes, [("a", "b"), ("a", "c"), ("b", "d"), ("c", "d")])
    assert 4 == len(shapes(picture, "rect", "card"))
    assert ("d", "b, c", "", "") == picture.rows[-1]


def test_the_timeline_says_the_longest_time_between():
    assert (
        "5 steps from “Draw begun”, 24 Oct 2026, 09:10, to “Put away”, 25 Oct 2026, 08:05; the longest time "
        "between two is 20\u00a0h 25\u00a0min, before “Put away”. 1 struck."
    ) == pages.timeline().alt


def test_a_struck_event_stays_struck_through():
    words = [text.text for text in shapes(pages.timeline(), "text", "words-struck")]
    assert "Weighed 541 g (struck)" in words


def test_the_shelf_says_what_to_use_first():
    assert "…4201 red cells in additive" in pages.strip().alt
    assert "1 is expired." in pages.strip().alt


def test_a_day_on_the_shelf_is_as_long_as_any_other():
    units = [
        Unit(name=str(n), note="", starts_on=TODAY, expires_on=TODAY + timedelta(days=n))
        for n in (10, 20, 40)
    ]
    bars = [
        numbers(bar, "x", "width") for bar in shapes(draw_shelf_strip(units, today=TODAY), "rect", "life")
    ][1:]
    assert [2 * bars[0][1], 4 * bars[0][1]] == pytest.approx([bars[1][1], bars[2][1]], abs=0.2)
    assert 1 == len({x for x, _ in bars})


HOSTILE = "<script>alert('x')</script> \"&\" \x00\x1b\ue000"


@pytest.mark.parametrize(
    "picture",
    [
        draw_bag([Layer(HOSTILE, 100, 100)], what=HOSTILE),
        rotor(4, name=HOSTILE),
        draw_rotor([Place(label=HOSTILE), Place(label=HOSTILE)], pair_limit_g=10),
        draw_family([Node(key="a", title=HOSTILE, lines=(HOSTILE,), href='/"><script>')], []),
        events(HOSTILE),
        strip([HOSTILE]),
    ],
)
def test_what_people_typed_is_escaped(picture):
    assert "<script" not in picture.svg
    assert drawn(picture).get("aria-label")


@given(st.text(max_size=80), st.floats(min_value=20, max_value=400))
def test_wrapped_words_fit_and_none_is_lost(words, room):
    lines = drawing.wrapped(words, 18, room)
    assert words.replace(" ", "") == "".join(lines).replace(" ", "")
    assert all(len(line) == 1 or drawing.width_of(line, 18) <= room for line in lines)


@given(st.lists(st.floats(min_value=0, max_value=400), min_size=1, max_size=8))
def test_labels_are_spread_until_none_overlaps(wanted):
    middles = drawing.spread(sorted(wanted), [40] * len(wanted), 0, 400)
    assert all(b - a >= 40 - 1e-9 for a, b in pairwise(middles))
    assert middles[0] >= 20 - 1e-9
    assert middles[-1] <= 380 + 1e-9
