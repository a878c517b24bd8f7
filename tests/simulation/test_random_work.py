"""Whatever hands do at the bench, the invariants hold; and planted faults are found. Seeds are printed with a fault."""

from datetime import timedelta

import pytest
from django.db import DatabaseError, transaction
from hypothesis import HealthCheck, settings
from hypothesis.stateful import run_state_machine_as_test

from buffycoat.draws.spares import GiveSpareNumbers
from buffycoat.journal.registers import Differs, rebuild, snapshot, tables
from tests.journal.test_rebuild import a_full_bank
from tests.simulation.banks import MemoryBank, RealBank
from tests.simulation.hands import Broken
from tests.simulation.lives import live_shortly
from tests.simulation.machine import AnyWork, RealWork
from tests.simulation.planted import IN_JOURNAL, IN_RULES
from tests.walk import START

SEEDS = range(7, 107)
SEEDS_OF_JOURNAL = range(7, 13)
ANY = settings(
    max_examples=12,
    stateful_step_count=15,
    deadline=None,
    derandomize=True,
    database=None,
    print_blob=True,
    suppress_health_check=list(HealthCheck),
)


def first_broken(make_bank, seeds):
    """The first seed whose life breaks, and how; None if all hold."""
    for seed in seeds:
        try:
            live_shortly(make_bank(), seed)
        except Broken as broken:
            return seed, str(broken)
    return None


def first_broken_for_real(seeds):
    """As above, each life taken back at its end: the book itself cannot be emptied."""
    for seed in seeds:
        try:
            with transaction.atomic():
                try:
                    live_shortly(RealBank(), seed, 35)
                finally:
                    transaction.set_rollback(True)
        except (Broken, DatabaseError) as broken:
            return seed, str(broken)
    return None


def test_short_lives_in_memory_hold():
    assert None is first_broken(MemoryBank, SEEDS)


@pytest.mark.parametrize("fault", IN_RULES)
def test_a_fault_planted_in_a_rule_is_found(fault):
    with IN_RULES[fault]():
        assert first_broken(MemoryBank, SEEDS)


def test_short_lives_in_the_real_bank_hold(db):
    assert None is first_broken_for_real(SEEDS_OF_JOURNAL)


@pytest.mark.parametrize("fault", IN_JOURNAL)
def test_a_fault_planted_in_the_journal_is_found(db, fault):
    with IN_JOURNAL[fault]():
        assert first_broken_for_real(SEEDS_OF_JOURNAL)


def test_whatever_is_chosen_the_invariants_hold():
    run_state_machine_as_test(AnyWork, settings=ANY)


def test_whatever_is_chosen_in_the_real_bank_the_invariants_hold(db):
    run_state_machine_as_test(RealWork, settings=settings(ANY, max_examples=5, stateful_step_count=10))


def test_after_a_life_registers_made_again_are_equal_row_for_row(db):
    live_shortly(RealBank(), 7)
    lived = snapshot()
    rebuild()
    assert lived == snapshot()


def test_a_change_in_any_column_of_any_register_is_found(db):
    """One column of every register in each round, until each was changed."""
    a_full_bank().do(GiveSpareNumbers(sheets=1))
    columns = {
        model: [field.attname for field in model._meta.concrete_fields if not field.primary_key]
        for model in tables()
    }
    missed = []
    for turn in range(max(map(len, columns.values()))):
        with transaction.atomic():
            changed = [(model, names[turn]) for model, names in columns.items() if turn < len(names)]
            for model, column in changed:
                changes_a_row(model, column)
            said = differences()
            missed += [f"{model.__name__}.{name}" for model, name in changed if model._meta.label not in said]
            transaction.set_rollback(True)
    assert [] == missed


@pytest.mark.one_database
def test_a_row_gone_from_any_register_is_found(db):
    a_full_bank().do(GiveSpareNumbers(sheets=1))
    missed = []
    for model in tables():
        with transaction.atomic():
            row = model._default_manager.order_by("pk").first()
            type(row)._base_manager.filter(pk=row.pk)._raw_delete(using="default")
            if model._meta.label not in differences():
                missed.append(model._meta.label)
            transaction.set_rollback(True)
    assert [] == missed


def differences() -> str:
    """What a rebuild says that differs."""
    try:
        rebuild(check=True)
    except Differs as differs:
        return str(differs)
    return ""


WHERE_EMPTY = {"DateTimeField": START, "DateField": START.date(), "IntegerField": 1}


def changes_a_row(model, column):
    """Another value in one column of one row; a key to another table points to another row, or nowhere."""
    field = model._meta.get_field(column.removesuffix("_id"))
    rows = model._default_manager.order_by("pk")
    row = rows.exclude(**{column: None}).first() or rows.first()
    value = getattr(row, column)
    if value is None:
        value = WHERE_EMPTY[field.get_internal_type()]
    elif field.is_relation:
        others = field.related_model._default_manager.exclude(pk=value)
        value = others.values_list("pk", flat=True).first() or "nowhere"
    elif isinstance(value, bool):
        value = not value
    elif isinstance(value, str):
        value = "x" + value[1:]
    else:
        value += 1 if isinstance(value, int) else timedelta(days=1)
    assert 1 == model._default_manager.filter(pk=row.pk).update(**{column: value})
