"""Forms give whole numbers of the smallest step, keep what was typed and say what to do."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from buffycoat.science.numbering import make_code
from buffycoat.shell.forms import (
    BenchForm,
    ChoiceField,
    CodeField,
    DayField,
    DensityField,
    GramsField,
    KilogramsField,
    ListField,
    MomentField,
    PercentField,
    TickField,
    WholeField,
    WordsField,
)

UNIT = make_code("U", "KTRA", 4217)
COMMAND = "3b0e1f6c5d1f4f6d9a640f2d8f1d8a11"


def form_with(**fields):
    return type("Form", (BenchForm,), fields)


def error(field, typed) -> str:
    form = form_with(it=field)({"command_id": COMMAND, "it": typed})
    assert not form.is_valid()
    return " ".join(form.errors["it"])


def value(field, typed):
    form = form_with(it=field)({"command_id": COMMAND, "it": typed})
    assert form.is_valid(), form.errors
    return form.cleaned_data["it"]


@pytest.mark.parametrize(
    ("kept", "field", "typed"),
    [
        (231, GramsField, "231 g"),
        (23_400, KilogramsField, "23.4"),
        (445, PercentField, "44.5 %"),
        (1_053, DensityField, "1.053"),
    ],
)
def test_a_measure_is_kept_in_its_smallest_step(kept, field, typed):
    assert kept == value(field(label="It"), typed)


def test_a_whole_number_may_carry_its_own_unit():
    assert 4200 == value(WholeField(label="Speed", unit="rpm"), "4200 rpm")


def test_a_missing_measure_is_asked_for_in_its_unit():
    assert "Plasma is missing. Type it in g." == error(GramsField(label="Plasma"), "")


def test_a_slip_beyond_the_range_names_the_range():
    field = GramsField(label="Plasma", least=100, most=500)
    assert (
        "2\u202f310\u00a0g is more than can be right here. "
        "It lies between 100 and 500\u00a0g: look again and type what you read."
    ) == error(field, "2310")
    assert "23\u00a0g is less than can be right here." in error(field, "23")


def test_a_negative_weight_is_less_than_can_be_right():
    assert "−5\u00a0g is less than can be right here." in error(GramsField(label="Plasma"), "-5")


def test_the_usual_range_is_a_hint_and_refuses_nothing():
    field = GramsField(label="Plasma", usual=(180, 320))
    assert "Usual here: 180 to 320\u00a0g." == field.help_text
    assert 20 == value(field, "20")


def test_a_code_is_read_however_it_is_written():
    assert UNIT == value(
        CodeField(label="Unit", kinds="U"), f"]C0{UNIT[:5].lower()} {UNIT[5:12]}-{UNIT[12:]}"
    )


def test_a_code_of_another_kind_is_named():
    assert "That is a unit, not a donor." == error(CodeField(label="Donor", kinds="D"), UNIT)


def test_a_missing_code_asks_for_a_scan():
    assert "Bag is missing. Scan the unit or donation, or type its code." == error(
        CodeField(label="Bag", kinds="UG"), ""
    )


def test_a_moment_is_read_in_the_zone_of_the_site():
    with timezone.override(ZoneInfo("Europe/London")):
        assert datetime(2026, 10, 24, 13, 5, tzinfo=UTC) == value(
            MomentField(label="Ended at"), "24 Oct 2026 14:05"
        )


def test_an_empty_moment_that_may_stay_empty_is_nothing():
    assert value(MomentField(label="Ended at", required=False), " ") is None


def test_a_day_that_could_be_two_days_is_refused():
    assert "could be mistaken" in error(DayField(label="Born on"), "3/4/2020")


def test_words_are_tidied_and_have_a_length():
    assert "Bramble the second" == value(WordsField(label="Name"), "  Bramble   the second ")
    assert "This is 12 characters long; at most 10 fit. Shorten it." == error(
        WordsField(label="Name", most=10), "x" * 12
    )


def test_nothing_is_chosen_beforehand():
    for field in (ChoiceField, ListField):
        assert "Look: choose one." == error(field(label="Look", choices=[("clear", "Clear")]), "")


def test_a_tick_is_asked_for_in_its_own_words():
    assert "Tick this first: Both clamps are closed" == error(TickField(label="Both clamps are closed"), "")


def test_what_was_typed_stays_in_the_box():
    form = form_with(it=GramsField(label="Plasma"))({"command_id": COMMAND, "it": "23l g"})
    assert 'value="23l g"' in str(form["it"])


def test_a_kept_number_is_shown_as_it_would_be_typed():
    form = form_with(it=KilogramsField(label="Weight"))(initial={"it": 1_023_400})
    assert 'value="1023.4"' in str(form["it"])


def test_each_new_form_is_a_new_command():
    first, second = form_with()(), form_with()()
    assert first.initial["command_id"] != second.initial["command_id"]


def test_a_form_carries_its_command_and_what_it_was_drawn_from():
    kind = form_with()
    drawn = kind(seen={"donation/G1": 4})
    posted = kind({"command_id": COMMAND, "seen": drawn["seen"].value() and '{"donation/G1": 4}'})
    assert posted.is_valid()
    assert {"command_id": COMMAND, "seen": {"donation/G1": 4}} == posted.for_record()


@pytest.mark.parametrize("seen", ["{", "[1]", '{"a": "b"}', "7"])
def test_a_damaged_page_is_not_recorded(seen):
    form = form_with()({"command_id": COMMAND, "seen": seen})
    assert {"seen": ["This page came back damaged. Open it afresh."]} == form.errors
    assert not form_with()({"command_id": "no"}).is_valid()


def test_reasons_of_the_book_stand_on_the_form():
    form = form_with(it=GramsField(label="Plasma"))({"command_id": COMMAND, "it": "231"})
    assert form.is_valid()
    form.refuse(["The plasma is heavier than its blood.", "The bag was already pressed off."])
    assert [
        "The plasma is heavier than its blood.",
        "The bag was already pressed off.",
    ] == form.non_field_errors()


def test_a_scan_knows_which_field_it_is_for():
    html = str(form_with(it=CodeField(label="Bag", kinds="UG"))()["it"])
    assert 'data-scan-field=""' in html
    assert 'data-kinds="U G"' in html


def test_numbers_are_typed_on_a_number_pad_without_arrows():
    html = str(form_with(it=GramsField(label="Plasma"))()["it"])
    assert 'inputmode="numeric"' in html
    assert 'type="text"' in html
    assert 'inputmode="decimal"' in str(form_with(it=PercentField(label="PCV"))()["it"])
