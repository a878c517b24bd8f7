"""A donor's photo: whatever is sent becomes a small picture of our own making, or is refused in words."""

import io
import json
from io import BytesIO

import pytest
from django.core import serializers
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from buffycoat.journal.models import Entry
from buffycoat.keeping.ordinary import write_ordinary
from buffycoat.people.roles import add
from buffycoat.photos import small
from buffycoat.photos.models import DonorPhoto
from buffycoat.photos.small import NoPhoto, made_small
from tests.donors.pictures import DEVICE, HOSTILE, PLACE, SCRIPT, picture, png_that_says, with_exif
from tests.pages import text, walk
from tests.reading_paper import CODE_128, DATA_MATRIX, PRINTER_DPI, codes_of, images_of, run_over
from tests.walk import unknown

pytestmark = pytest.mark.one_database

__all__ = ["walk"]


def made(sent):
    return made_small(BytesIO(sent), len(sent))


def opened(jpeg):
    return Image.open(BytesIO(jpeg))


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_picture_becomes_a_small_jpeg(kind):
    image = opened(made(picture(1_200, 900, kind)))
    assert ("JPEG", (480, 360)) == (image.format, image.size)
    assert image.getpixel((10, 10))[0] < 90 < image.getpixel((470, 350))[0]


def test_a_picture_that_is_small_already_is_not_blown_up():
    assert (60, 40) == opened(made(picture(60, 40))).size


@pytest.mark.parametrize(("turned", "dark"), [(1, (10, 10)), (3, (470, 310)), (6, (310, 10)), (8, (10, 470))])
def test_a_picture_stands_upright_however_the_phone_was_held(turned, dark):
    image = opened(made(with_exif(turned)))
    assert ((320, 480) if turned in (6, 8) else (480, 320)) == image.size
    assert image.getpixel(dark)[0] < 90


def test_where_and_by_what_it_was_taken_is_gone():
    sent = with_exif()
    assert {} == dict(opened(made(sent)).getexif())
    for told in (PLACE, DEVICE):
        assert told.encode() in sent
        assert told.encode() not in made(sent)


def test_what_is_hidden_behind_or_inside_a_picture_does_not_go_along():
    for sent in (picture() + SCRIPT, picture(comment=SCRIPT), picture(kind="PNG") + SCRIPT):
        assert SCRIPT in sent
        assert b"script" not in made(sent)


def test_what_is_not_painted_is_white():
    sent = BytesIO()
    Image.new("RGBA", (50, 50), (0, 0, 0, 0)).save(sent, "PNG")
    assert (255, 255, 255) == opened(made(sent.getvalue())).getpixel((5, 5))


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_file_is_refused_in_words(name):
    with pytest.raises(NoPhoto) as refused:
        made(HOSTILE[name])
    assert str(refused.value).endswith(".")


def test_a_file_that_is_too_large_is_not_even_looked_at():
    with pytest.raises(NoPhoto, match=r"This file has 20 MB; at most 15 MB are taken\."):
        made_small(BytesIO(picture()), 20_000_000)


@pytest.mark.parametrize(("limit", "unpacked"), [(24, False), (25, True)])
def test_how_many_pixels_there_are_is_known_before_any_is_unpacked(monkeypatch, limit, unpacked):
    """The control: let in by a higher limit, the same bytes are unpacked and only then found to be cut off."""
    monkeypatch.setitem(small.MOST_PIXELS, "PNG", limit * 1_000_000)
    with pytest.raises(NoPhoto) as refused:
        made(png_that_says(5_000, 5_000))
    assert unpacked is ("cut off" in str(refused.value))
    assert unpacked is not ("too large to unpack" in str(refused.value))


def send(client, donor, sent, name="photo.jpg", field="file"):
    file = SimpleUploadedFile(name, sent, content_type="image/jpeg")
    return client.post(f"/donors/{donor}/photo/", {field: file})


@pytest.fixture
def donor(client, walk):
    return walk.a_donor()


@pytest.mark.parametrize("field", ["file", "taken"])
def test_a_photo_is_kept_replaced_and_erased_beside_the_journal(client, donor, field):
    entries, address = Entry.objects.count(), f"/donors/{donor}/photo/"
    assert f"/donors/{donor}/" == send(client, donor, picture(), field=field)["Location"]
    first = client.get(f"{address[:-1]}.jpg").content
    send(client, donor, picture(300, 300), field=field)
    second = client.get(f"{address[:-1]}.jpg").content
    assert ((480, 320), (300, 300)) == (opened(first).size, opened(second).size)
    client.post(address, {"erase": "yes"})
    assert (404, 0) == (client.get(f"{address[:-1]}.jpg").status_code, DonorPhoto.objects.count())
    assert entries == Entry.objects.count()


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_file_is_answered_with_the_page_and_what_was_kept_stays(client, donor, name):
    send(client, donor, picture())
    kept = DonorPhoto.objects.get().digest
    refused = send(client, donor, HOSTILE[name])
    assert 200 == refused.status_code
    assert "<title>Error:" in refused.content.decode()
    assert kept == DonorPhoto.objects.get().digest


def test_a_form_without_a_file_says_so(client, donor):
    refused = client.post(f"/donors/{donor}/photo/", {})
    assert "No picture was chosen. Take one, or choose a file." in text(refused)


def test_a_photo_is_served_as_what_it_is_and_under_no_name_that_anybody_chose(client, donor):
    send(client, donor, picture(), name='planted"\r\nX-Planted: 1.html')
    answer = client.get(f"/donors/{donor}/photo.jpg")
    assert ("image/jpeg", "nosniff") == (answer["Content-Type"], answer["X-Content-Type-Options"])
    assert f'inline; filename="photo-{donor}.jpg"' == answer["Content-Disposition"]
    assert "planted" not in str(answer.headers).lower()
    assert "private, no-cache" == answer["Cache-Control"]
    again = client.get(f"/donors/{donor}/photo.jpg", headers={"if-none-match": answer["ETag"]})
    assert 304 == again.status_code


@pytest.mark.parametrize(
    ("role", "sees", "sends"), [("auditor", 200, 403), ("office", 200, 302), ("", 403, 403)]
)
def test_whoever_may_see_the_donor_sees_its_photo_and_few_may_change_it(client, donor, role, sees, sends):
    send(client, donor, picture())
    client.force_login(add("kim", None, [role] if role else []))
    assert sees == client.get(f"/donors/{donor}/photo.jpg").status_code
    assert sends == send(client, donor, picture(30, 30)).status_code
    client.logout()
    assert 302 == client.get(f"/donors/{donor}/photo.jpg").status_code


@pytest.mark.parametrize("page", ["photo/", "photo.jpg"])
def test_a_donor_that_nobody_knows_has_no_photo(client, donor, page):
    assert 404 == client.get(f"/donors/{unknown('D')}/{page}").status_code


def test_the_photo_stands_on_the_donors_page_and_at_each_question_of_the_draw(client, donor, walk):
    walk.a_lot()
    pages = (f"/donors/{donor}/", f"/donors/{donor}/examine/", f"/draws/new/?donor={donor}")
    shown = [f'src="/donors/{donor}/photo.jpg"' in client.get(page).content.decode() for page in pages]
    send(client, donor, picture())
    shown += [f'src="/donors/{donor}/photo.jpg"' in client.get(page).content.decode() for page in pages]
    assert [False] * 3 + [True] * 3 == shown


def test_the_card_has_the_photo_on_request_and_reads_as_before(client, donor):
    assert "?photo=yes" not in client.get(f"/donors/{donor}/").content.decode()
    send(client, donor, picture())
    assert f"/donors/{donor}/card.pdf?photo=yes" in client.get(f"/donors/{donor}/").content.decode()
    plain, with_photo = (
        client.get(f"/donors/{donor}/card.pdf{asked}").content for asked in ("", "?photo=yes")
    )
    assert [(CODE_128, donor), (DATA_MATRIX, donor)] == codes_of(with_photo, PRINTER_DPI)
    assert [] == run_over(with_photo)
    at = (round(60 / 85.6 * 684), round(14 / 54 * 432))  # in the photo's upper left quarter, at 203 dpi
    assert [False, True] == [
        images_of(pdf, PRINTER_DPI)[0].getpixel(at)[0] < 90 for pdf in (plain, with_photo)
    ]


def test_a_copy_of_the_bank_takes_the_photo_along(client, donor):
    send(client, donor, picture())
    kept, copied = DonorPhoto.objects.get(), io.StringIO()
    write_ordinary(copied)
    [row] = [
        each for each in copied.getvalue().splitlines() if "photos.donorphoto" == json.loads(each)["model"]
    ]
    [read] = serializers.deserialize("jsonl", row)
    assert (kept.donor, bytes(kept.jpeg), kept.digest) == (
        read.object.donor,
        bytes(read.object.jpeg),
        read.object.digest,
    )
