"""The pages of a list: choose it, say its columns, look at every row, bring it in, take the refused away."""

import csv
import io

import pytest
from django.contrib.auth import get_user_model
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from buffycoat.donors.models import DonorRow
from buffycoat.lists.models import KEPT, KnownColumns, ListInHand
from buffycoat.people.roles import give_roles
from tests.lists.sheets import PLAIN, workbook
from tests.pages import client, nothing_recorded, text, walk

__all__ = ["client", "walk"]
pytestmark = pytest.mark.django_db

ODD = PLAIN + "D-20,Odd,fish,F,2021-05-01,,,,,,=HYPERLINK(),,,\n"


def send(client, content, kind="donors", name="donors.csv"):
    content = content.encode() if isinstance(content, str) else content
    return client.post("/lists/", {"kind": kind, "file": SimpleUploadedFile(name, content)})


def choose(client, address, **said):
    """The columns as they were guessed, and what is said for the whole list."""
    form = client.get(address).context["form"]
    guessed = {field.html_name: field.initial or "" for field in form}
    return client.post(address, {**guessed, **said})


def brought(client, content, kind="donors", **said):
    """As far as the page that shows every row."""
    there = send(client, content, kind)
    assert 302 == there.status_code, text(there)
    there = choose(client, there.url, **said)
    assert 302 == there.status_code, text(there)
    return there.url


def press(client, address):
    expected = client.get(address).context["form"].initial["expected"]
    return client.post(address, {"expected": expected}, follow=True)


def test_from_the_file_to_the_donors(client):
    rows = brought(client, ODD)
    page = text(client.get(rows))
    assert "Bring in 3 rows" in page
    assert "Species: “fish”: write dog or cat." in page
    with nothing_recorded():
        client.get(rows)
    said = text(press(client, rows))
    assert "Rows brought in: 3. Refused and left out: 1." in said
    assert {"Bramble", "Quill", "Sorrel"} == set(DonorRow.objects.values_list("name", flat=True))
    assert "Bring in" not in text(client.get(rows))


def test_the_refused_rows_leave_as_a_list_with_their_reasons_and_without_a_formula(client):
    rows = brought(client, ODD)
    answer = client.get(rows.replace("rows/", "refused.csv"))
    assert "attachment" in answer["Content-Disposition"]
    [headings, row] = csv.reader(io.StringIO(answer.content.decode("utf-8-sig")))
    assert ["Row before", "Why it was refused", "Donor ID"] == headings[:3]
    assert [
        "5",
        "Species: “fish”: write dog or cat. "
        "Owner's name: the cell holds a formula, and none is worked out here: paste its value.",
        "D-20",
    ] == row[:3]
    assert "'=HYPERLINK()" in row


def test_a_list_with_the_same_headings_needs_no_choosing_again(client):
    brought(client, PLAIN)
    assert 1 == KnownColumns.objects.count()
    again = send(client, PLAIN.replace("Bramble", "Bracken"))
    assert again.url.endswith("/rows/")
    assert "Bring in 3 rows" in text(client.get(again.url))


def test_the_order_of_days_is_asked_anew_for_each_file(client):
    row = "Name,Species,Sex,Born\nFennel,cat,f,03/04/2022\n"
    assert "Bring in 1 row" in text(client.get(brought(client, row, date_order="day first")))
    page = text(client.get(send(client, row).url))
    assert "may be 03 Apr 2022 or 04 Mar 2022: say which comes first." in page
    assert "Bring in" not in page


def test_a_list_goes_when_it_is_closed_and_when_it_is_a_day_old(client):
    rows = brought(client, PLAIN)
    client.post(rows.replace("rows/", "close/"))
    assert not ListInHand.objects.exists()
    brought(client, PLAIN.replace("Name", "Called"), **{"column-name": "Called"})
    ListInHand.objects.update(came_at=ListInHand.objects.get().came_at - KEPT)
    client.get("/lists/")
    assert not ListInHand.objects.exists()


def test_what_the_person_saw_is_what_comes_in_or_nothing(client):
    rows = brought(client, PLAIN)
    expected = client.get(rows).context["form"].initial["expected"]
    press(
        client,
        brought(client, PLAIN.splitlines()[0].replace("Coat", "Fur") + "\n" + PLAIN.splitlines()[1] + "\n"),
    )
    with nothing_recorded():
        page = client.post(rows, {"expected": expected})
    assert "Nothing was brought in" in text(page)
    assert "Something else was recorded meanwhile" in text(page)
    assert "Bring in 2 rows" in text(page)


def test_a_column_without_which_no_row_can_be_is_asked_for(client):
    there = send(client, "Foo,Bar\n1,2\n")
    page = choose(client, there.url)
    assert "Name: choose its column, for no row can do without it." in text(page)


def test_one_heading_is_not_taken_for_two_columns(client):
    there = send(client, PLAIN)
    page = choose(client, there.url, **{"column-breed": "Coat", "column-cautions": "Coat"})
    assert "“Coat” is chosen for Breed and for Cautions: choose one." in text(page)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "The file is empty."),
        (b"\x89PNG" + bytes(9), "neither a workbook nor text"),
        (b"PK", "The workbook is damaged"),
    ],
)
def test_what_is_no_list_is_told_on_the_page_and_not_kept(client, content, words):
    page = send(client, content)
    assert words in text(page)
    assert "Not read" in text(page)
    assert not ListInHand.objects.exists()


def test_a_workbook_comes_the_same_way(client):
    rows = brought(client, workbook(), **{"column-species": "Canine/Feline"})
    assert "Bring in 2 rows" in text(client.get(rows))


def test_names_of_files_do_no_harm(client):
    send(client, PLAIN, name="../../etc/<b>pass\nwd.csv")
    assert ListInHand.objects.get().file_name in ("<b>passwd.csv", "<b>pass wd.csv")
    assert "<b>pass" not in client.get("/lists/").content.decode()


def test_whoever_may_not_bring_in_may_still_take_lists_away(walk):
    walk.on_the_shelf("cat")
    office = Client()
    person = get_user_model().objects.create_user("kim")
    give_roles(person, ["office"])
    office.force_login(person)
    page = text(office.get("/lists/"))
    assert "Bring in a list" not in page
    assert 403 == send(office, PLAIN).status_code
    for kind in ("donors", "donations", "stock"):
        for form in ("csv", "xlsx"):
            answer = office.get(f"/lists/out/{kind}.{form}")
            assert 200 == answer.status_code
            assert "attachment" in answer["Content-Disposition"]
    assert [404, 404] == [
        office.get(f"/lists/out/{each}").status_code for each in ("donors.exe", "people.csv")
    ]


def test_a_donor_is_found_and_told_by_its_number_before(client):
    press(client, brought(client, PLAIN))
    page = client.get("/donors/", {"find": "d-18"})
    assert ["Quill"] == [row.name for row, _ in page.context["rows"]]
    assert "Number before D-18" in text(client.get(f"/donors/{DonorRow.objects.get(name='Quill').donor}/"))
