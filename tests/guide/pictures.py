"""The pictures of the guide: every page of the bench at the size of a tablet and of a desk, small enough to keep."""

from io import BytesIO
from pathlib import Path

from PIL import Image
from playwright.sync_api import Page, ViewportSize

FOLDER = Path(__file__).resolve().parents[2] / "docs" / "guide"
SIZES: dict[str, ViewportSize] = {
    "tablet": {"width": 1024, "height": 768},
    "desk": {"width": 1440, "height": 900},
}
COLOURS = 48
MOST_BYTES, MOST_BYTES_IN_ALL = 60_000, 3_500_000
LEAST_COLOURS, LEAST_INK = 8, 0.01


def name_of(template: str, size: str) -> str:
    return f"{template.replace('/', '-').replace('_', '-')}-{size}.png"


def take(page: Page, template: str, size: str, folder: Path) -> Path:
    """What the window shows, in few colours."""
    page.evaluate("document.fonts.ready.then(() => { document.activeElement.blur(); scrollTo(0, 0); })")
    shot = Image.open(BytesIO(page.screenshot(animations="disabled"))).convert("RGB")
    path = folder / name_of(template, size)
    few = shot.quantize(COLOURS, method=Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE)
    few.save(path, optimize=True)
    return path


def faults(path: Path, size: str) -> list[str]:
    """Why this is no picture of a page."""
    with Image.open(path) as picture:
        found = []
        if picture.size != (SIZES[size]["width"], SIZES[size]["height"]):
            found.append(f"{path.name}: {picture.size}")
        counts = sorted(count for count, _ in picture.getcolors(1 << 24) or ())
        ink = 1 - counts[-1] / sum(counts)
        if len(counts) < LEAST_COLOURS or ink < LEAST_INK:
            found.append(f"{path.name}: blank")
    if (bytes_ := path.stat().st_size) > MOST_BYTES:
        found.append(f"{path.name}: {bytes_} bytes")
    return found
