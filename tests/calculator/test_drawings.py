"""Curves tell the truth: points are to scale, levels stand where they belong, and all of it is in the table."""

import re
from datetime import date
from zoneinfo import ZoneInfo

import pytest

from buffycoat.calculator.catalogue import CALCULATORS
from buffycoat.calculator.drawings import draw_curve
from buffycoat.calculator.kinds import Asked
from tests.shell.test_pictures import crowding

ASKED = Asked(zone=ZoneInfo("UTC"), today=date(2026, 6, 1))
CURVES = [name for name, each in CALCULATORS.items() if each.picture and name not in ("load-rotor", "layers")]


def corners(svg):
    steps = re.search(r'<path d="M([\d. L]+)" class="lead-stop"', svg)
    return [tuple(map(float, pair.split())) for pair in steps[1].split("L")]


def test_points_and_levels_are_to_scale():
    picture = draw_curve([(0, 0), (1, 5), (4, 10)], across="x", up="y", alt="a", lines={"half": 5})
    (left, low), (second, middle), (right, high) = corners(picture.svg)
    assert pytest.approx((right - left) / 4, abs=0.1) == second - left
    assert pytest.approx((low + high) / 2, abs=0.1) == middle
    assert f'd="M{left:.1f} {middle:.1f}H{right:.1f}" class="limit-ring"' in picture.svg


def test_a_level_run_of_points_can_be_drawn():
    assert 2 == len(corners(draw_curve([(1, 4), (2, 4)], across="x", up="y", alt="a").svg))
    assert 1 == len(corners(draw_curve([(1, 0)], across="x", up="y", alt="a").svg))


@pytest.mark.parametrize("name", CURVES)
def test_no_words_overlap_or_leave_the_picture_and_the_table_has_every_point(name):
    found = CALCULATORS[name]
    picture = found.compute(found.read(found.example, ASKED)[0], ASKED).picture
    assert [] == crowding(picture)
    assert len(corners(picture.svg)) == len(picture.rows)
    assert 2 == len(picture.columns)
