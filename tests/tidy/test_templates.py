"""Pages keep to the content security policy: no script and no style inside them, nothing from elsewhere."""

import re

import pytest

from tests.tidy.repository import PACKAGE, ROOT

FORBIDDEN = {
    "a script inside the page": re.compile(r"<script(?![^>]*\b(src=|type=.application/json))", re.I),
    "a style inside the page": re.compile(r"<style|\bstyle\s*=\s*[\"'{]", re.I),
    "a handler inside the page": re.compile(r"\son[a-z]+\s*=\s*[\"'{]|hx-on|javascript:", re.I),
    "something from elsewhere": re.compile(r"\b(?:src|href|action)\s*=\s*[\"'](?:https?:)?//", re.I),
}


def faults(markup: str) -> list[str]:
    return [fault for fault, pattern in FORBIDDEN.items() if pattern.search(markup)]


def test_templates_keep_to_the_content_security_policy():
    templates = list(PACKAGE.rglob("*.html"))
    found = {str(path.relative_to(ROOT)): faults(path.read_text()) for path in templates}
    assert {} == {name: each for name, each in found.items() if each}
    assert templates


def test_pictures_drawn_in_python_keep_to_it_too():
    drawing = [path for path in PACKAGE.rglob("*.py") if "<svg" in path.read_text()]
    assert {} == {path.name: faults(path.read_text()) for path in drawing if faults(path.read_text())}


@pytest.mark.parametrize(
    ("markup", "fault"),
    [
        ("<script>go()</script>", "a script inside the page"),
        ('<p style="color:red">', "a style inside the page"),
        ('<button onclick="go()">', "a handler inside the page"),
        ('<img src="//elsewhere.example/x.png">', "something from elsewhere"),
    ],
)
def test_each_fault_is_found(markup, fault):
    assert [fault] == faults(markup)


def test_a_script_from_our_own_files_is_no_fault():
    assert [] == faults(
        '<script src="/static/scan.js" defer></script><script type="application/json">{}</script>'
    )
