"""Pictures for tests, drawn here; hostile ones among them."""

import struct
import zlib
from io import BytesIO

from PIL import Image, ImageDraw

PLACE, DEVICE = "Inventedtown", "Invented camera"
SCRIPT = b"<html><script>alert('planted')</script></html>"
GPS, ORIENTATION, MAKE = 0x8825, 0x0112, 0x010F


def picture(width=600, height=400, kind="JPEG", **how):
    """Light, with its upper left quarter dark."""
    image = Image.new("RGB", (width, height), (200, 190, 160))
    ImageDraw.Draw(image).rectangle((0, 0, width // 2, height // 2), fill=(40, 30, 20))
    made = BytesIO()
    image.save(made, kind, **how)
    return made.getvalue()


def with_exif(turned=1):
    """As a phone makes it: with where and by what it was taken, and the way it was held."""
    exif = Image.Exif()
    exif[ORIENTATION], exif[MAKE] = turned, DEVICE
    exif.get_ifd(GPS).update({1: "N", 2: (51.0, 30.0, 0.0), 29: PLACE})
    return picture(exif=exif)


def png_chunk(kind, data):
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def png_that_says(width, height):
    """A few bytes that would be unpacked to this size."""
    head = png_chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
    return (
        b"\x89PNG\r\n\x1a\n"
        + head
        + png_chunk(b"IDAT", zlib.compress(b"\0" * 1_000))
        + png_chunk(b"IEND", b"")
    )


def png_with_swollen_text():
    text = png_chunk(b"zTXt", b"words\0\0" + zlib.compress(b"a" * 50_000_000))
    whole = picture(kind="PNG")
    return whole[:33] + text + whole[33:]


def png_with_broken_rows():
    return picture(kind="PNG").replace(b"IDAT", b"IDAT\xff\xff", 1)


HOSTILE = {
    "nothing": b"",
    "a page": SCRIPT,
    "a drawing that carries a script": b'<svg xmlns="http://www.w3.org/2000/svg"><script>1</script></svg>',
    "a page that begins like a JPEG": b"\xff\xd8\xff" + SCRIPT,
    "a page that begins like a GIF": b"GIF89a" + SCRIPT,
    "another kind of picture": picture(kind="GIF"),
    "a document": b"%PDF-1.7\n" + SCRIPT,
    "a program": b"MZ" + bytes(500),
    "cut off": picture()[:1_500],
    "cut off in its head": picture()[:40],
    "cut off, PNG": picture(kind="PNG")[:-200],
    "broken rows": png_with_broken_rows(),
    "a bomb": png_that_says(60_000, 60_000),
    "a small bomb": png_that_says(5_000, 5_000),
    "one side without end": png_that_says(2**31 - 1, 1),
    "no side at all": png_that_says(0, 0),
    "text that swells": png_with_swollen_text(),
}
