"""One table says who may do what; what is not in it is refused."""

import pytest
from django.urls import URLPattern, URLResolver, get_resolver, path

from buffycoat.people.may import EVERY_ROLE, MAY, ROLES, WHOEVER, may
from buffycoat.people.roles import add


def patterns(found=None) -> list[URLPattern]:
    flat = []
    for each in get_resolver().url_patterns if found is None else found:
        flat += patterns(each.url_patterns) if isinstance(each, URLResolver) else [each]
    return flat


def without_a_line(found: list[URLPattern]) -> set[str]:
    return {each.name or str(each.pattern) for each in found} - set(MAY)


def test_every_address_has_a_line_in_the_table_and_every_line_an_address():
    assert set() == without_a_line(patterns())
    assert set() == set(MAY) - {each.name for each in patterns()}


def test_an_address_without_a_line_is_found():
    assert {"planted"} == without_a_line(
        [*patterns(), path("planted/", lambda request: None, name="planted")]
    )


def test_the_table_knows_no_other_letters():
    for line in MAY.values():
        for letters in (line.opened_by, line.sent_by):
            assert letters in (WHOEVER, "-") or set(letters) <= set(EVERY_ROLE)


def address(pattern: URLPattern) -> str:
    """For something that is not there: who may not is refused before anything is looked up."""
    values = {}
    for name, converter in pattern.pattern.converters.items():
        kind = type(converter).__name__
        values[name] = "DHAVN000000138" if "Code" in kind else 1 if "Int" in kind else "none"
    route = str(pattern.pattern)
    for name, value in values.items():
        route = route.replace(
            next(part for part in route.split("<")[1:] if name in part).partition(">")[0], str(value)
        )
    return "/" + route.replace("<", "").replace(">", "")


@pytest.fixture
def people(db):
    made = {role: add(f"an-{role}", None, [role]) for role in ROLES.values()}
    return made | {"nobody": add("without-a-role", None, [])}


@pytest.mark.one_database
@pytest.mark.parametrize("method", ["GET", "POST"])
@pytest.mark.parametrize("role", [*ROLES.values(), "nobody"])
def test_the_server_refuses_what_the_table_refuses_and_nothing_else(client, people, role, method):
    client.raise_request_exception = False
    wrong = []
    for pattern in patterns():
        if "_auth_user_id" not in client.session:
            client.force_login(people[role])
        status = client.generic(method, address(pattern)).status_code
        no_such_method = "-" == MAY[pattern.name].by(method)
        expected = 405 if no_such_method else 403 if not may({role}, pattern.name, method) else None
        known = pattern.name == "bench-reading"  # asks for its key with the same status
        if (expected and status != expected) or (not expected and status in (403, 405, 500) and not known):
            wrong.append((pattern.name, method, role, status))
    assert [] == wrong


def test_no_address_takes_any_other_method(client, people):
    client.force_login(people["coordinator"])
    for method in ("PUT", "PATCH", "DELETE", "TRACE"):
        taken = [each.name for each in patterns() if 405 != client.generic(method, address(each)).status_code]
        assert [] == taken, method


def test_who_is_not_signed_in_reaches_only_what_the_table_opens_to_whoever(client, db):
    client.raise_request_exception = False
    for pattern in patterns():
        for method in ("GET", "POST"):
            answer = client.generic(method, address(pattern))
            led_away = 302 == answer.status_code and "/sign-in/?next=" in answer["Location"]
            assert led_away is (WHOEVER not in (MAY[pattern.name].opened_by, MAY[pattern.name].sent_by)), (
                pattern.name
            )


def test_an_address_that_lost_its_line_is_refused_at_run_time(client, people, monkeypatch):
    client.force_login(people["coordinator"])
    assert 200 == client.get("/stock/").status_code
    monkeypatch.delitem(MAY, "stock")
    refused = client.get("/stock/")
    assert 403 == refused.status_code
    assert "Nobody has decided yet" in refused.content.decode()


def test_a_refusal_says_why_and_who_may(client, people):
    client.force_login(people["auditor"])
    refused = client.get("/put-away/").content.decode()
    for words in ("Not allowed", "bench</b>", "You are an-auditor, auditor", "an-coordinator", "Go to today"):
        assert words in refused


def test_the_top_bar_leads_only_where_one_may_go(client, people):
    client.force_login(people["office"])
    page = client.get("/").content.decode()
    assert 'href="/donors/"' in page
    assert 'href="/backups/"' not in page


def test_whoever_has_two_roles_may_do_what_either_may():
    assert may({"auditor", "bench"}, "draw-new", "POST")
    assert not may({"auditor"}, "draw-new", "POST")


def test_in_a_bank_from_before_there_were_roles_everybody_keeps_what_they_could_do(db):
    from importlib import import_module

    from django.apps import apps

    kim, sam = add("kim", None, []), add("sam", None, ["bench"])
    import_module("buffycoat.people.migrations.0003_roles_as_before").as_before(apps, None)
    assert ["coordinator"] == [group.name for group in kim.groups.all()]
    assert ["bench"] == [group.name for group in sam.groups.all()]
