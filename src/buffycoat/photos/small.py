"""From whatever file somebody sends to a small picture of our own making, or one sentence why not.

What is kept is drawn anew from the pixels: no place, no device, no text, nothing hidden behind the picture goes along.
"""

import struct
import zlib
from io import BytesIO
from threading import Lock
from typing import BinaryIO

from PIL import Image, ImageOps

MOST_BYTES = 15_000_000
# Before anything is unpacked. JPEG is unpacked at an eighth of its size, the others whole.
MOST_PIXELS = {"JPEG": 50_000_000, "PNG": 16_000_000, "WEBP": 16_000_000}
LONGER_SIDE = 480
QUALITY = 78
NO_PICTURE = "This file is no JPEG, PNG or WebP picture. Take the photo again, or save it as JPEG."
CUT_OFF = "This picture is damaged or cut off: take it again, or send the file once more."
_one_at_a_time = Lock()  # so that many large pictures at once do not fill the memory


class NoPhoto(ValueError):
    """Why a file becomes no photo, in words."""


def made_small(file: BinaryIO, size_bytes: int) -> bytes:
    """A JPEG of at most 480 pixels a side, upright."""
    if size_bytes > MOST_BYTES:
        raise NoPhoto(
            f"This file has {size_bytes / 1e6:.0f} MB; at most {MOST_BYTES / 1e6:.0f} MB are taken."
        )
    try:
        image = Image.open(file, formats=list(MOST_PIXELS))
    except Image.DecompressionBombError:
        raise NoPhoto(_too_many(max(MOST_PIXELS.values()))) from None
    except (OSError, SyntaxError, ValueError, EOFError, struct.error, zlib.error):
        raise NoPhoto(NO_PICTURE) from None
    most = MOST_PIXELS[image.format or "PNG"]
    if image.width * image.height > most:
        raise NoPhoto(_too_many(most))
    try:
        with _one_at_a_time:
            return _drawn_anew(image)
    except (OSError, SyntaxError, ValueError, EOFError, struct.error, zlib.error):
        raise NoPhoto(CUT_OFF) from None


def _too_many(most: int) -> str:
    return f"This picture is too large to unpack: at most {most / 1e6:.0f} megapixels. Take it in a smaller size."


def _drawn_anew(image: Image.Image) -> bytes:
    image.draft("RGB", (LONGER_SIDE, LONGER_SIDE))
    image.thumbnail((LONGER_SIDE, LONGER_SIDE))
    upright = ImageOps.exif_transpose(image).convert("RGBA")
    fresh, made = Image.new("RGB", upright.size, "white"), BytesIO()
    fresh.paste(upright, mask=upright.getchannel("A"))
    fresh.save(made, "JPEG", quality=QUALITY, optimize=True)
    return made.getvalue()
