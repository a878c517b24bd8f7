"""The list answers each requirement of OWASP ASVS 5.0.0 up to level 2 once, and points at tests that exist."""

import re
from collections import Counter

import pytest

from tests.tidy.repository import ROOT

LIST = ROOT / "docs/security/asvs.md"
# By section, from the standard's own table: the last number of level 1 or 2, where a gap holds one of level 3 alone.
UP_TO_LEVEL_2 = """
1.1.1-2 1.2.1-9 1.3.1-11 1.4.1-3 1.5.1-2 2.1.1-3 2.2.1-3 2.3.1-4 2.4.1-1 3.2.1-2 3.3.1-4 3.4.1-6 3.5.1-5 3.7.1-2
4.1.1-3 4.2.1-1 4.3.1-2 4.4.1-4 5.1.1-1 5.2.1-3 5.3.1-2 5.4.1-3 6.1.1-3 6.2.1-12 6.3.1-4 6.4.1-4 6.5.1-5 6.6.1-3
6.8.1-4 7.1.1-3 7.2.1-4 7.3.1-2 7.4.1-5 7.5.1-2 7.6.1-2 8.1.1-2 8.2.1-3 8.3.1-1 8.4.1-1 9.1.1-3 9.2.1-4 10.1.1-2
10.2.1-2 10.3.1-4 10.4.1-11 10.5.1-5 10.6.1-2 10.7.1-3 11.1.1-2 11.2.1-3 11.3.1-3 11.4.1-4 11.5.1-1 11.6.1-1
12.1.1-3 12.2.1-2 12.3.1-4 13.1.1-1 13.2.1-5 13.3.1-2 13.4.1-5 14.1.1-2 14.2.1-4 14.3.1-3 15.1.1-3 15.2.1-3
15.3.1-7 16.1.1-1 16.2.1-5 16.3.1-4 16.4.1-3 16.5.1-3 17.1.1-1 17.2.1-4 17.3.1-2
"""
LEVEL_1 = """
1.2.1-5 1.3.1-2 1.5.1-1 2.1.1-1 2.2.1-2 2.3.1-1 3.2.1-2 3.3.1-1 3.4.1-2 3.5.1-3 4.1.1-1 4.4.1-1 5.2.1-2 5.3.1-2
6.1.1-1 6.2.1-8 6.3.1-2 6.4.1-2 7.2.1-4 7.4.1-2 8.1.1-1 8.2.1-2 8.3.1-1 9.1.1-3 9.2.1-1 10.4.1-5 11.3.1-2 11.4.1-1
12.1.1-1 12.2.1-2 13.4.1-1 14.2.1-1 14.3.1-1 15.1.1-1 15.2.1-1 15.3.1-1
"""
ROW = re.compile(r"^\| (\**)(\d+\.\d+\.\d+)\** \| ([^|]+) \| ([^|]+) \|([^|]*)\|([^|]*)\|$", re.M)
ANSWERS = {"met", "in part", "not met", "n/a"}


def numbers(ranges: str) -> list[str]:
    found = []
    for each in ranges.split():
        section, first, last = re.fullmatch(r"(\d+\.\d+)\.(\d+)-(\d+)", each).groups()
        found += [f"{section}.{number}" for number in range(int(first), int(last) + 1)]
    return found


def answered() -> list[tuple[str, str, str, str, str, str]]:
    return ROW.findall(LIST.read_text())


def faults(test: str) -> str:
    """What is wrong with the name of a test, or nothing."""
    path, _, name = test.partition("::")
    if not (ROOT / path).is_file():
        return f"{path} is not there"
    return f"{name} is not in {path}" if name and f"def {name}(" not in (ROOT / path).read_text() else ""


def test_the_standard_has_253_requirements_up_to_level_2_and_70_of_level_1():
    assert (253, 70) == (len(set(numbers(UP_TO_LEVEL_2))), len(set(numbers(LEVEL_1))))


def test_each_requirement_is_answered_once():
    assert Counter(numbers(UP_TO_LEVEL_2)) == Counter(row[1] for row in answered())


def test_level_1_is_marked():
    assert sorted(numbers(LEVEL_1)) == sorted(row[1] for row in answered() if row[0])


def test_every_line_of_the_list_is_read():
    lines = [line for line in LIST.read_text().splitlines() if re.match(r"\| \**\d", line)]
    assert len(lines) == len(answered())


def test_every_answer_is_one_of_four_and_says_how():
    assert set() == {row[3] for row in answered()} - ANSWERS
    unsaid = [row[1] for row in answered() if row[3] in ("in part", "not met") and not row[4].strip()]
    assert [] == unsaid


def test_what_is_asked_is_said_in_few_words():
    assert [] == [row[1] for row in answered() if len(row[2].split()) > 12]


def test_every_test_that_is_named_is_there():
    named = [(row[1], row[5].strip()) for row in answered() if row[5].strip()]
    assert [] == [(number, fault) for number, test in named if (fault := faults(test))]
    assert len(named) > 100


@pytest.mark.parametrize(
    "test", ["tests/security/test_nothing.py", "tests/security/test_asvs.py::test_nothing"]
)
def test_a_test_that_is_not_there_is_found(test):
    assert faults(test)


def test_each_link_to_a_part_of_the_page_on_security_leads_to_one():
    headings = re.findall(r"^#+ (.+)$", (ROOT / "docs/security.md").read_text(), re.M)
    parts = {re.sub(r"[^\w -]", "", heading.lower()).replace(" ", "-") for heading in headings}
    assert set() == set(re.findall(r"security\.md#([\w-]+)", LIST.read_text())) - parts


def test_how_many_are_met_stands_on_the_page_on_security_as_it_is():
    counted = Counter(row[3] for row in answered())
    told = re.search(
        r"(\d+) met, (\d+) in part, (\d+) not met, (\d+) n/a", (ROOT / "docs/security.md").read_text()
    )
    assert told
    assert [counted[answer] for answer in ("met", "in part", "not met", "n/a")] == list(
        map(int, told.groups())
    )
