"""Reads a printed page as people and scanners do: its text, its codes, its size, and what runs over what."""

from itertools import combinations, pairwise

import pypdfium2
import zxingcpp
from PIL import Image

PRINTER_DPI, OFFICE_DPI = 203, 300
MM = 72 / 25.4
TOUCH = 0.35 * MM  # letters may lean over each other by this much
CODE_128, DATA_MATRIX = "Code 128", "Data Matrix"


def squeezed(text: str) -> str:
    """Without what line breaks and the width of a page do to a text."""
    return "".join(text.replace("\u200b", "").split())


def text_of(pdf: bytes) -> str:
    return squeezed("".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(pdf)))


def missing(pdf: bytes, *wanted: str) -> list[str]:
    text = text_of(pdf)
    return [each for each in wanted if squeezed(each) not in text]


def images_of(pdf: bytes, dpi: int) -> list[Image.Image]:
    return [page.render(scale=dpi / 72).to_pil() for page in pypdfium2.PdfDocument(pdf)]


def codes_of(pdf: bytes, dpi: int) -> list[tuple[str, str]]:
    """(symbology, text) of every bar code on every page."""
    found = [code for image in images_of(pdf, dpi) for code in zxingcpp.read_barcodes(image)]
    return sorted((str(code.format), code.text) for code in found)


def pages_mm(pdf: bytes) -> list[tuple[float, float]]:
    sizes = [page.get_size() for page in pypdfium2.PdfDocument(pdf)]
    return [(round(width / MM, 2), round(height / MM, 2)) for width, height in sizes]


def only_black(pdf: bytes) -> bool:
    bands = [image.convert("RGB").split() for image in images_of(pdf, 100)]
    return all(red.tobytes() == green.tobytes() == blue.tobytes() for red, green, blue in bands)


def run_over(pdf: bytes) -> list[str]:
    """What leaves its page, and each two letters that are printed over each other."""
    return [fault for page in pypdfium2.PdfDocument(pdf) for fault in _faults(page)]


def _faults(page: pypdfium2.PdfPage) -> list[str]:
    width, height = page.get_size()
    text = page.get_textpage()
    letters = [(text.get_text_range(i, 1), text.get_charbox(i)) for i in range(text.count_chars())]
    letters = [(letter, box) for letter, box in letters if letter.strip(" \r\n\u200b\u00a0\u202f")]
    assert letters
    out = [
        f"{letter} leaves the page"
        for letter, (left, low, right, top) in letters
        if left < 0 or low < 0 or right > width or top > height
    ]
    over = [f"{a} over {b}" for (a, first), (b, second) in combinations(letters, 2) if _meet(first, second)]
    return out + over


def _meet(first: tuple[float, ...], second: tuple[float, ...]) -> bool:
    across = min(first[2], second[2]) - max(first[0], second[0])
    up = min(first[3], second[3]) - max(first[1], second[1])
    return across > TOUCH and up > TOUCH


def bars(pdf: bytes, dpi: int) -> tuple[list[int], list[int], int]:
    """Of the first page's Code 128: the widths of its bars and gaps, the quiet zones, and the height, in dots."""
    image = images_of(pdf, dpi)[0].convert("L").point(lambda grey: 255 if grey > 127 else 0)
    (code,) = zxingcpp.read_barcodes(image, zxingcpp.BarcodeFormat.Code128)
    middle = (code.position.top_left.y + code.position.bottom_left.y) // 2
    row = [image.getpixel((x, middle)) for x in range(image.width)]
    edges = [x for x in range(1, image.width) if row[x] != row[x - 1]]
    first = next(x for x in edges if abs(x - code.position.top_left.x) < dpi / 10)
    inside = [x for x in edges if first <= x <= code.position.top_right.x + dpi / 50]
    before = max((x for x in edges if x < first), default=0)
    after = min((x for x in edges if x > inside[-1]), default=image.width)
    column = [image.getpixel((first + 1, y)) for y in range(image.height)]
    top = next(y for y in range(middle, 0, -1) if column[y])
    bottom = next(y for y in range(middle, image.height) if column[y])
    return [b - a for a, b in pairwise(inside)], [first - before, after - inside[-1]], bottom - top - 1
