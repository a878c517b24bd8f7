"""What scales write: every shape is read, what is half or noisy is not believed, another unit is refused in words."""

import re

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from buffycoat.benches.lines import SHAPES, Listener, Steadiness, Weight, read, read_alone, shape

# As the scale writes it, g, still, net.
LINES = [
    ("ST,GS,+  123.4 g", 123, True, False),
    ("US,GS,+  123.4 g", 123, False, False),
    ("ST,NT,-   12.0 g", -12, True, True),
    ("ST,GS,+0001.234kg", 1234, True, False),
    ("S S      123.4 g", 123, True, False),
    ("S D      123.4 g", 123, False, False),
    ("N  +0123 g", 123, None, True),
    ("G  +0123 g S", 123, True, False),
    ("  123.4 g  S", 123, True, False),
    ("123 g ?", 123, False, False),
    ("  123,5 g", 124, None, False),
    ("    0.231 kg", 231, None, False),
    ("  123400 mg", 123, None, False),
    ("-  5 g", -5, None, False),
]


def heard_from(*lines: str, listener: Listener | None = None) -> list[Weight]:
    listener = listener or Listener()
    return list(listener.hear("".join(f"{line}\r\n" for line in ("", *lines)).encode()))


@pytest.mark.parametrize(("line", "g", "still", "net"), LINES, ids=[line for line, *_ in LINES])
def test_each_shape_is_found_and_read(line, g, still, net):
    weights = heard_from(line, line, line)
    assert [(g, still, net, line, "")] == [(w.g, w.still, w.net, w.raw, w.trouble) for w in weights]


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("  4.35 oz", "The scale shows ounces (oz). Set the scale to g."),
        ("ST,GS,+  0.51 lb", "The scale shows pounds (lb). Set the scale to g."),
        ("N  +0123 pcs", "The scale shows another unit (pcs). Set the scale to g."),
    ],
)
def test_a_weight_in_another_unit_is_no_weight_and_the_words_say_what_to_do(line, words):
    assert [(None, words)] == [(w.mg, w.trouble) for w in heard_from(line, line, line)]


@pytest.mark.parametrize("line", ["OL,GS,+ 9999.9 g", "OL,GS,", "S +"])
def test_too_much_on_the_scale_is_no_weight_even_where_figures_are_sent(line):
    weights = heard_from("ST,GS,+  123.4 g", "ST,GS,+  123.4 g", "ST,GS,+  123.4 g", listener=Listener())
    assert 123 == weights[-1].g
    (weight,) = heard_from(line, line, line)
    assert weight.mg is None
    assert "more on the scale than it can weigh" in weight.trouble


def test_less_than_nothing_is_said():
    (weight,) = heard_from("UL,GS,", "UL,GS,", "UL,GS,")
    assert "less than nothing" in weight.trouble


def test_a_number_without_a_unit_is_never_taken():
    assert [] == heard_from("   123.4", "   123.4", "   123.4", "   123.4")


def test_the_end_of_a_line_heard_first_is_left_out():
    # Of "ST,GS,+  123.4 g" only "3.4 g" came: it has the shape of another scale.
    heard = Listener().hear(b"3.4 g\r\n3.4 g\r\n3.4 g")
    assert [] == list(heard)


def test_a_figure_lost_on_the_way_is_not_believed():
    listener = Listener()
    assert [123] == [w.g for w in heard_from(*["  123.4 g"] * 3, listener=listener)]
    assert [] == list(listener.hear(b"  12.4 g\r\n"))
    assert [] == list(listener.hear(b"  123.4 g\r\n"))
    assert [123] == [w.g for w in listener.hear(b"  123.4 g\r\n")]


def test_noise_is_left_out_and_what_comes_after_is_read():
    listener = Listener()
    heard_from(*["ST,GS,+  123.4 g"] * 3, listener=listener)
    assert [] == list(listener.hear(b"ST,GS,+  1\xff3.4 g\r\n" + b"\x00\xfe" * 400))
    assert [] == list(listener.hear(b".4 g\r\n"))
    assert [124] == [w.g for w in listener.hear(b"ST,GS,+  124.0 g\r\nST,GS,+  124.0 g\r\n")][-1:]


def test_a_line_in_pieces_is_one_line():
    listener = Listener()
    text = b"\r\n" + b"ST,GS,+  123.4 g\r\n" * 3
    assert [123] == [w.g for at in range(len(text)) for w in listener.hear(text[at : at + 1])]


def test_after_the_cable_was_out_the_first_line_is_left_out_again():
    listener = Listener()
    heard_from(*["  123.4 g"] * 3, listener=listener)
    listener.restart()
    assert [] == list(listener.hear(b"  111.1 g\r\n"))
    assert [222] == [w.g for w in listener.hear(b"  222.2 g\r\n")]


def test_a_scale_that_marks_what_is_still_has_not_marked_the_rest():
    listener = Listener()
    heard_from("  123.4 g  S", "  123.4 g  S", "  123.4 g  S", listener=listener)
    assert [False] == [w.still for w in listener.hear(b"  123.4 g   \r\n  123.4 g   \r\n")][-1:]


def test_a_site_describes_its_own_lines():
    own = shape("own", r"W=(?P<sign>-?)(?P<number>\d+)", unit="g")
    assert [231, -4] == [w.g for w in heard_from("W=231", "W=231", "W=-4", "W=-4", listener=Listener(own))]


@pytest.mark.parametrize(
    ("pattern", "unit", "words"),
    [
        ("(", "", "no regular expression"),
        (r"\d+", "g", r"needs a group \(\?P<number>"),
        (r"(?P<number>\d+)", "", "say which unit the scale sends"),
        (r"(?P<number>\d+)", "oz", "say which unit the scale sends"),
    ],
)
def test_a_description_that_cannot_be_right_is_refused_in_words(pattern, unit, words):
    with pytest.raises(ValueError, match=words):
        shape("own", pattern, unit=unit)


amounts = st.decimals(0, 9_999, places=1, allow_nan=False)


@given(amounts, st.booleans(), st.booleans())
def test_every_amount_is_read_as_it_was_written(amount, still, below):
    sign = "-" if below else "+"
    line = f"{'ST' if still else 'US'},GS,{sign}{amount:8} g"
    weight = read(line, SHAPES[0])
    assert weight
    assert (int(amount * 1000) * (-1 if below else 1), still) == (weight.mg, weight.still)


@given(st.binary(max_size=300), st.integers(0, 40))
@example(b"ST,GS,+  12", 3)
def test_noise_never_raises_and_only_whole_lines_of_the_scale_give_a_weight(noise, cut):
    listener = Listener()
    heard_from(*["ST,GS,+  123.4 g"] * 3, listener=listener)
    line = b"ST,GS,+  123.4 g\r\n"
    for weight in listener.hear(noise + line[cut:]):
        assert re.fullmatch(r"(ST|US|OL|UL),(GS|NT|TR),.*", weight.raw)


@given(st.text(max_size=40))
def test_what_a_keyboard_scale_types_never_raises(text):
    weight = read_alone(text)
    assert weight is None or weight.raw == text.strip()


def steady(readings: list[tuple[float, float]], still: bool | None = None) -> list[bool]:
    steadiness = Steadiness()
    return [
        steadiness.judge(Weight(raw="", mg=int(g * 1000), still=still), at, 1_000, 1.0) for at, g in readings
    ]


def test_a_weight_is_still_once_its_readings_stayed_within_a_gram_for_a_second():
    assert [False, False, True] == steady([(0, 200), (0.5, 200.6), (1.0, 200.2)])


def test_a_weight_that_creeps_is_never_still_though_each_reading_is_near_the_one_before():
    assert not any(steady([(n / 10, 200 + n * 0.4) for n in range(100)]))


def test_the_scales_own_word_counts_before_its_readings():
    assert [True, True] == steady([(0, 200), (0.1, 250)], still=True)
    assert [False] * 30 == steady([(n / 10, 200) for n in range(30)], still=False)


def test_after_a_trouble_it_must_stand_still_anew():
    steadiness = Steadiness()
    weight = Weight(raw="", mg=200_000)
    assert not steadiness.judge(weight, 0, 1_000, 1.0)
    assert not steadiness.judge(Weight(raw="", trouble="too much"), 0.5, 1_000, 1.0)
    assert not steadiness.judge(weight, 1.2, 1_000, 1.0)
    assert steadiness.judge(weight, 2.2, 1_000, 1.0)
