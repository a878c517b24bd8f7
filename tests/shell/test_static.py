"""What pages load is sent small, once, and never when it is old."""

import pytest
from django.conf import settings
from django.templatetags.static import static

from buffycoat.settings import STATIC_FOLDERS, digest_of_static_files

GZIP = {"Accept-Encoding": "gzip"}


def test_a_static_file_is_kept_for_ever_under_an_address_of_its_content(client, db):
    answer = client.get(static("shell/shell.css"))
    assert "max-age=315360000, public, immutable" == answer["Cache-Control"]
    assert f"/static/{digest_of_static_files(*STATIC_FOLDERS)}/" == settings.STATIC_URL
    assert 200 != client.get("/static/shell/shell.css").status_code


def test_the_address_changes_with_any_byte_and_with_nothing_else(tmp_path):
    sheet = tmp_path / "here" / "static" / "here" / "sheet.css"
    sheet.parent.mkdir(parents=True)
    sheet.write_text("p { margin: 0 }")
    before = digest_of_static_files(tmp_path / "here")
    assert before == digest_of_static_files(tmp_path / "here", tmp_path / "without")
    sheet.write_text("p { margin: 1px }")
    assert before != digest_of_static_files(tmp_path / "here")


@pytest.mark.parametrize(
    ("name", "compressed"),
    [
        ("shell/shell.css", True),
        ("shell/scan.js", True),
        ("shell/mark.svg", True),
        ("shell/text.woff2", False),
    ],
)
def test_words_are_sent_compressed_and_what_is_compressed_already_as_it_is(client, name, compressed):
    answer = client.get(static(name), headers=GZIP)
    assert ("gzip" if compressed else None) == answer.get("Content-Encoding")
    assert not client.get(static(name)).has_header("Content-Encoding")


def test_an_answer_without_a_body_stays_without(client):
    path = static("shell/shell.css")
    known = client.get(path)["Last-Modified"]
    answer = client.get(path, headers={**GZIP, "If-Modified-Since": known})
    assert (304, b"") == (answer.status_code, b"".join(answer.streaming_content))


def test_a_page_is_sent_compressed(client, db):
    answer = client.get("/sign-in/", headers=GZIP)
    assert ("gzip", "Accept-Encoding") == (answer["Content-Encoding"], answer["Vary"].split(", ")[-1])
