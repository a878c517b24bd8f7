"""Where two people must look, the second is never the first: whatever their role, device or way of signing in.

The points that there are: a blood type of a donor or a patient, a problem that holds a unit, the release of a unit in
an emergency, and a signature for a step.
"""

import io
import sys
from datetime import timedelta

import pytest
from django.test import Client

from buffycoat.cli.main import main
from buffycoat.journal.models import Entry
from buffycoat.people.may import MAY, ROLES, roles_for
from buffycoat.people.roles import add, give_roles
from buffycoat.problems.models import ProblemRow
from buffycoat.problems.rules import MEANING, ReportProblem
from buffycoat.training.rules import MEANING as TRAINED_MEANING
from tests.harness.people import PASSWORD
from tests.issuing.giving import a_patient, a_request
from tests.pages import answer, near_noon, nothing_recorded, text
from tests.people.conftest import scan, type_password

pytestmark = pytest.mark.one_database
OTHER = "another-invented-one"


@pytest.fixture
def walk(db):
    return near_noon(timedelta(minutes=3))


def type_read_once(walk, by):
    walk.by = by
    donor = walk.a_donor()
    return (
        f"/donors/{donor}/type/",
        {"blood_type": "DEA 1 negative", "method": "card"},
        "robin read this already",
    )


def problem_reported(walk, by):
    walk.by = by
    donor = walk.a_donor()
    walk.do(ReportProblem(about=donor, what="mix-up"))
    number = ProblemRow.objects.get().pk
    sent = {"outcome": "nothing-wrong", "why": "I looked."}
    return f"/problems/{number}/", sent, "robin reported it: somebody else must look and settle it."


def signature(walk, by):
    sent = {"trainee": "robin", "step": "put-away", "remarks": "", "password": PASSWORD}
    return "/training/sign/", sent, "choose one of those shown"


def patient_read_once(walk, by):
    walk.by = by
    patient = a_patient(walk)
    return f"/patients/{patient}/type/", {"blood_type": "A", "method": "card"}, "robin read this already"


def emergency_release(walk, by):
    walk.by, walk.at = by, walk.at - timedelta(hours=5)  # a unit is not made in three minutes
    patient = a_patient(walk)
    unit = walk.units(walk.on_the_shelf("cat"))["red-cells"]
    sent = {
        "patient": patient,
        "unit": unit,
        "emergency": "It bleeds",
        "released_by": by,
        "password": PASSWORD,
    }
    return f"/requests/{a_request(walk, patient)}/issue/", sent, "choose one of those shown"


POINTS = {
    "donor-type": type_read_once,
    "patient-type": patient_read_once,
    "problem-settle": problem_reported,
    "request-issue": emergency_release,
    "training-sign": signature,
}


@pytest.mark.parametrize("point", POINTS)
def test_the_same_person_is_refused_in_every_role_that_may_do_it(client, robin, walk, point):
    address, sent, words = POINTS[point](walk, "robin")
    type_password(client)
    with nothing_recorded():
        for role in ROLES.values():
            give_roles(robin, [role])
            if role in roles_for(point, "POST"):
                assert words in text(answer(client, address, **sent)), role
            else:
                assert 403 == client.post(address, sent).status_code, role


@pytest.mark.parametrize("point", ["donor-type", "problem-settle"])
def test_the_same_person_is_refused_at_another_device_and_by_another_way_of_signing_in(
    client, robin, bench, walk, point
):
    address, sent, words = POINTS[point](walk, "robin")
    scan(client, robin)
    other = Client(REMOTE_ADDR="10.1.1.1")
    type_password(other)
    with nothing_recorded():
        for each in (client, other):
            assert words in text(answer(each, address, **sent))


@pytest.mark.parametrize("point", ["donor-type", "problem-settle"])
def test_somebody_else_is_not_refused(client, robin, walk, point):
    """The control: it is the person that is refused, not the step."""
    address, sent, _ = POINTS[point](walk, "robin")
    client.force_login(add("kim", OTHER, ["coordinator"]))
    assert 302 == answer(client, address, **sent).status_code


def test_each_point_is_a_line_of_the_table():
    assert set(POINTS) <= set(MAY)


def do(step, *, typed="", **options):
    arguments = [part for name, value in options.items() for part in (f"--{name.replace('_', '-')}", value)]
    sys.stdin = io.StringIO(f"{typed}\n")
    try:
        return main(["do", step, *map(str, arguments)])
    finally:
        sys.stdin = sys.__stdin__


def test_at_the_terminal_nobody_looks_a_second_time_in_anothers_name(robin, walk, capsys):
    add("kim", OTHER, ["bench"])
    problem_reported(walk, "robin")
    row = ProblemRow.objects.get()
    settle = {"about": row.about, "problem": row.pk, "outcome": "nothing-wrong", "why": "I looked."}
    read = {"donor": row.about, "blood-type": "DEA 1 negative"}
    with nothing_recorded():
        assert 1 == do("settle-problem", **settle, settled_by="kim", by="robin", typed=PASSWORD)
        assert "This is not the password of kim: nothing was signed." in capsys.readouterr().err
        assert 1 == do("settle-problem", **settle, settled_by="nobody-here", by="robin", typed=PASSWORD)
        assert 1 == do("type-blood", **read, reader="kim", by="kim", typed=PASSWORD)
        assert 1 == do("type-blood", **read, reader="kim", by="robin", typed=OTHER)
        assert "--reader is kim and --by is robin" in capsys.readouterr().err
        assert 1 == do("type-blood", **read, reader=" robin", by="robin", typed=PASSWORD)
        assert 1 == do("type-blood", **read, reader="robin", by="robin", typed=PASSWORD)
        assert "robin read this already" in capsys.readouterr().err
        assert 1 == do("settle-problem", **settle, settled_by="robin", by="kim", typed=PASSWORD)
        assert "somebody else must look" in capsys.readouterr().err
    assert 0 == do("settle-problem", **settle, settled_by="kim", by="robin", typed=OTHER)
    assert 0 == do("type-blood", **read, reader="kim", by="kim", typed=OTHER)


def test_a_signature_has_name_time_and_meaning_in_its_entry(client, robin, walk):
    add("kim", OTHER, ["coordinator"])
    address, sent, _ = problem_reported(walk, "kim")
    client.force_login(robin)
    assert MEANING in text(client.get(address))
    answer(client, address, **sent)
    answer(client, "/training/sign/", trainee="kim", step="put-away", remarks="", password=PASSWORD)
    for kind, meaning in (("problem-settled", MEANING), ("training-signed", TRAINED_MEANING)):
        entry = Entry.objects.get(kind=kind)
        assert "robin" == entry.by
        assert entry.happened_at <= entry.recorded_at
        assert f'"meaning":"{meaning}"' in entry.line
        assert f"“{meaning}”" in text(client.get("/journal/"))
