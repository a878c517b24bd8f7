"""A line drawing for each thing that hands do at the bench: what it must look like, at a glance. No words in it."""

from collections.abc import Callable

from buffycoat.shell.pictures.drawing import circle, line, path, polygon, rect, safe
from buffycoat.shell.pictures.shapes import SPECIES

WIDTH, HEIGHT = 200, 130


def drawing(name: str, alt: str) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" width="{WIDTH}" height="{HEIGHT}" '
        f'role="img" aria-label="{safe(alt)}" class="step-drawing">{DRAWINGS[name]()}</svg>'
    )


def _bag(
    x: float, y: float, wide: float = 44, high: float = 62, *, cells: float = 0, plasma: float = 0
) -> str:
    """A bag with its port; red cells and plasma are parts of its height."""
    red, clear = high * cells, high * plasma
    filled = rect(x, y + high - red - clear, wide, clear, "step-plasma") if plasma else ""
    filled += rect(x, y + high - red, wide, red, "step-cells", corner=4) if cells else ""
    outline = rect(x, y, wide, high, "step-line", corner=7)
    return rect(x, y, wide, high, "step-sheet", corner=7) + filled + outline + _port(x + wide / 2, y)


def _port(x: float, y: float) -> str:
    return rect(x - 4, y - 9, 8, 9, "step-sheet")


def _lying(x: float, y: float, wide: float = 66) -> str:
    """A bag that lies on something."""
    return path(f"M{x} {y}q-4-19 12-19h{wide - 24}q16 0 12 19Z", "step-cells") + path(
        f"M{x + wide} {y - 9}h9", "step-tube"
    )


def _scale(x: float = 50, y: float = 78, wide: float = 100) -> str:
    pan = rect(x, y, wide, 7, "step-sheet", corner=3)
    foot = path(f"M{x + 12} {y + 7}h{wide - 24}l8 38h{16 - wide - 8}Z", "step-sheet")
    return pan + foot + rect(x + wide / 2 - 20, y + 17, 40, 17, "step-window", corner=2)


def _arrow(x: float, y: float, dx: float, dy: float) -> str:
    """A straight arrow along one of the axes, from a point by so much."""
    tip_x, tip_y = x + dx, y + dy
    back_x, back_y = (9 if dx > 0 else -9 if dx else 0), (9 if dy > 0 else -9 if dy else 0)
    side_x, side_y = (0, 6) if dx else (6, 0)
    head = [
        (tip_x, tip_y),
        (tip_x - back_x + side_x, tip_y - back_y + side_y),
        (tip_x - back_x - side_x, tip_y - back_y - side_y),
    ]
    return line(x, y, tip_x - back_x, tip_y - back_y, "step-move") + polygon(head, "step-head")


def _turn(x: float, y: float, radius: float) -> str:
    """To and fro, round a point."""
    bow = path(
        f"M{x - radius} {y}A{radius} {radius * 0.55:.1f} 0 0 0 {x + radius} {y}",
        "step-move",
    )
    return bow + "".join(
        polygon([(at, y - 9), (at - 6, y + 2), (at + 6, y + 2)], "step-head")
        for at in (x - radius, x + radius)
    )


def _label(x: float, y: float, wide: float = 34, high: float = 24) -> str:
    across = [gap + 5 for gap in (0, 4, 10, 14, 20, 24, 30, 36) if gap + 9 < wide]
    bars = "".join(line(x + each, y + 4, x + each, y + high - 9, "step-bar") for each in across)
    return (
        rect(x, y, wide, high, "step-label")
        + bars
        + line(x + 5, y + high - 4, x + wide - 6, y + high - 4, "step-thin")
    )


def _scanner(x: float, y: float) -> str:
    """Held at the right, its beam to the left."""
    body = path(f"M{x} {y}l8-13h34q9 0 9 9v8q0 9-9 9h-3l6 30h-17l-7-30h-13Z", "step-sheet")
    return (
        body
        + line(x - 4, y - 5, x - 34, y - 15, "step-beam")
        + line(x - 4, y + 5, x - 34, y + 15, "step-beam")
    )


def _clamp(x: float, y: float) -> str:
    return rect(x - 9, y - 5, 18, 10, "step-solid", corner=2)


def _scan_card() -> str:
    card = rect(18, 28, 76, 78, "step-sheet", corner=4) + _label(30, 72, 52, 26)
    animal = f'<g class="species" transform="translate(37 31) scale(0.58)">{SPECIES["dog"]}</g>'
    return card + animal + _scanner(132, 72)


def _scan_set() -> str:
    tube = path("M49 23C49 4 84 4 84 40", "step-tube")
    return tube + _bag(27, 32, 44, 74) + _bag(76, 48, 28, 58) + _label(32, 62) + _scanner(142, 74)


def _empty_set_on_scale() -> str:
    flat = path("M62 77q-2-9 8-9h48q10 0 8 9Z", "step-sheet") + path(
        "M70 68q-1-8 7-8h34q8 0 7 8", "step-sheet"
    )
    coil = path("M126 72c18 0 18-22 0-22s-22 10-8 18", "step-tube-thin")
    return flat + coil + _scale(50, 78)


def _fill_line() -> str:
    mark = line(60, 52, 140, 52, "step-stop")
    return _bag(72, 24, 56, 92, cells=0.68) + mark + _arrow(154, 104, 0, -44)


def _hanging_bag() -> str:
    frame = path("M40 122h66M52 122V14h74v12", "step-frame")
    scale = rect(108, 24, 36, 18, "step-window", corner=3) + line(126, 42, 126, 51, "step-thin")
    tube = path("M132 60q40-14 44 60", "step-tube")
    return frame + tube + scale + _bag(104, 60, 44, 42, cells=0.72) + _turn(126, 109, 30)


def _stickers() -> str:
    tubes = path("M47 25C47 4 101 4 101 33M101 33C101 8 154 8 154 39", "step-tube")
    bags = _bag(22, 34, 50, 80, cells=0.7) + _bag(82, 42, 38, 66) + _bag(135, 48, 38, 60)
    return tubes + bags + _label(30, 68) + _label(84, 64) + _label(137, 68)


def _waste() -> str:
    bin_ = path("M76 62h56l-6 60H82Z", "step-sheet") + path("M70 62h68M94 56h20", "step-frame")
    bars = "".join(line(x, 72, x, 112, "step-thin") for x in (92, 104, 116))
    return bin_ + bars + _bag(86, 12, 36, 26, cells=0.7) + _arrow(152, 22, 0, 34)


def _machine() -> str:
    body = path("M40 120V50q0-6 6-6h108q6 0 6 6v70Z", "step-sheet")
    lid = path("M46 44q54-40 108 0", "step-sheet")
    panel = (
        rect(60, 86, 80, 22, "step-window", corner=3)
        + circle(80, 97, 6, "step-line")
        + circle(120, 97, 6, "step-line")
    )
    spin = path("M76 66a26 10 0 1 0 48 0", "step-move") + polygon([(76, 56), (69, 68), (82, 68)], "step-head")
    return body + lid + panel + spin


def _folded_on_scale() -> str:
    coil = path("M74 60c-10-14 18-20 26-8s22 8 26-2", "step-tube-thin")
    return _lying(62, 78, 76) + coil + _scale(50, 79)


def _opposite_buckets() -> str:
    rotor = (
        line(52, 34, 148, 34, "step-frame")
        + line(100, 22, 100, 120, "step-thin")
        + circle(100, 34, 10, "step-sheet")
    )
    made = rotor
    for x in (20, 128):
        made += path(f"M{x + 26} 34v10M{x + 2} 44h48l-5 76H{x + 7}Z", "step-sheet")
        made += _bag(x + 12, 62, 28, 46, cells=0.7)
    return made


def _layers_to_light() -> str:
    return (
        _lamp(164, 40) + _bag(60, 22, 58, 94, cells=0.45, plasma=0.42) + line(60, 73, 118, 73, "step-buffy")
    )


def _lamp(x: float, y: float) -> str:
    rays = "".join(
        line(x + dx * 0.6, y + dy * 0.6, x + dx, y + dy, "step-thin")
        for dx, dy in ((0, -32), (0, 32), (-32, 0), (32, 0), (-23, -23), (23, 23), (-23, 23), (23, -23))
    )
    return circle(x, y, 14, "step-lamp") + rays


def _pressed() -> str:
    press = path("M14 122h74M20 122V32M82 122V32", "step-frame")
    tube = path("M51 25C51 2 146 2 146 44", "step-tube")
    bag = _bag(34, 34, 34, 84, cells=0.6, plasma=0.34)
    stop = line(28, 66, 74, 66, "step-stop")
    scale = rect(106, 110, 80, 6, "step-sheet", corner=3) + rect(118, 116, 56, 12, "step-window")
    return press + tube + bag + stop + _bag(128, 53, 36, 56, plasma=0.6) + scale + _arrow(92, 16, 20, 0)


def _whole_in_fridge() -> str:
    return (
        _fridge(112, 10)
        + _bag(24, 42, 48, 70, cells=0.75)
        + _clamp(48, 22)
        + path("M48 33v-8M48 17V6", "step-tube")
        + _arrow(80, 78, 26, 0)
    )


def _fridge(x: float, y: float) -> str:
    body = rect(x, y, 66, 114, "step-sheet", corner=5) + line(x, y + 40, x + 66, y + 40, "step-line")
    return (
        body
        + line(x + 10, y + 14, x + 10, y + 30, "step-frame")
        + line(x + 10, y + 52, x + 10, y + 76, "step-frame")
    )


def _running_in() -> str:
    tube = path("M60 62C60 84 138 12 138 50", "step-tube")
    upper = rect(38, 8, 44, 46, "step-sheet", corner=7) + rect(38, 24, 44, 30, "step-additive", corner=5)
    upper += rect(38, 8, 44, 46, "step-line", corner=7) + rect(56, 54, 8, 9, "step-sheet")
    return tube + upper + _bag(114, 58, 48, 62, cells=0.62) + _arrow(90, 62, 0, 34)


def _against_light() -> str:
    bag = _bag(72, 16, 52, 80, cells=0.86)
    clot = path("M90 60q8-10 14 0t-4 12-12-2Z", "step-clot")
    return (
        _lamp(166, 46)
        + bag
        + clot
        + _turn(98, 106, 38)
        + circle(34, 58, 15, "step-sheet")
        + path("M14 58q20-26 40 0-20 26-40 0Z", "step-line")
        + circle(34, 58, 6, "step-solid")
    )


def _segments() -> str:
    made = path("M42 50C42 14 92 18 92 62V70", "step-tube") + _bag(20, 60, 44, 60, cells=0.7)
    made += path("M92 66q0 50 92 42", "step-tube-full")
    for x, y in ((97, 86), (117, 100), (141, 106.5), (164, 108.5)):
        made += rect(x - 6, y - 7, 12, 14, "step-solid", corner=2)
    return made


def _alone_on_scale() -> str:
    return _lying(66, 78, 62) + _label(84, 62, 26, 14) + _scale(50, 79)


def _printer() -> str:
    paper = _label(72, 74, 56, 40)
    body = path("M40 78V44q0-8 8-8h104q8 0 8 8v34Z", "step-sheet") + rect(
        62, 70, 76, 7, "step-solid", corner=2
    )
    return paper + body + rect(58, 16, 84, 20, "step-sheet") + _arrow(150, 86, 0, 30)


def _scan_bag() -> str:
    return _bag(30, 26, 62, 90, cells=0.75) + _label(40, 56, 44, 30) + _scanner(136, 68)


def _put_away() -> str:
    open_door = path("M104 10 82 24v104l22-4Z", "step-sheet")
    inside = (
        rect(104, 10, 76, 114, "step-sheet", corner=3)
        + line(104, 48, 180, 48, "step-thin")
        + line(104, 88, 180, 88, "step-thin")
    )
    return (
        inside
        + _lying(118, 87, 44)
        + open_door
        + _label(85, 58, 18, 26)
        + _bag(14, 52, 36, 54, cells=0.7)
        + _arrow(56, 78, 22, 0)
    )


def _animal_on_scale() -> str:
    dog = path(
        "M60 86V62q-8-6-8-14l6 4q4 4 10 4h40l6-16q2-8 10-6l6-4 2 8 12 6q0 8-12 8l-6 14v22h-9V68H78v18Z",
        "step-sheet",
    )
    platform = rect(40, 88, 112, 9, "step-sheet", corner=3) + rect(72, 104, 48, 18, "step-window", corner=3)
    tube = rect(170, 26, 10, 86, "step-sheet", corner=4) + rect(170, 62, 10, 50, "step-cells", corner=4)
    return dog + platform + tube + circle(137, 44, 1.8, "step-solid") + line(160, 62, 190, 62, "step-stop")


def _test_card() -> str:
    card = rect(26, 22, 148, 88, "step-sheet", corner=5)
    dots = [(62, "step-cells"), (138, "step-sheet")]
    wells = "".join(circle(x, 58, 22, kind) for x, kind in dots)
    grains = "".join(
        circle(x, y, 3, "step-solid") for x, y in ((130, 52), (142, 48), (146, 62), (134, 66), (139, 57))
    )
    return card + wells + grains + line(44, 96, 80, 96, "step-thin") + line(120, 96, 156, 96, "step-thin")


def _sheet_of_paper() -> str:
    lines = "".join(line(46, y, 112, y, "step-thin") for y in (62, 78, 94, 108))
    pen = path("M176 22 138 84l-4 16 13-9 38-62Z", "step-sheet")
    return rect(32, 10, 94, 112, "step-sheet") + _label(44, 20, 60, 28) + lines + pen


def _struck_line() -> str:
    book = path("M100 26Q62 12 22 26v88q40-14 78 0 38-14 78 0V26q-40-14-78 0v88", "step-sheet")
    words = "".join(line(34, y, 86, y - 2, "step-thin") for y in (50, 68, 86)) + line(
        114, 50, 164, 50, "step-thin"
    )
    return book + words + line(28, 74, 92, 58, "step-stop")


def _set_aside() -> str:
    sign = path("M146 34 178 90h-64Z", "step-sheet") + line(146, 54, 146, 72, "step-frame")
    return _bag(24, 30, 52, 82, cells=0.7) + _arrow(84, 72, 24, 0) + sign + circle(146, 80, 2.5, "step-solid")


def _water_bath() -> str:
    basin = path("M22 54v54q0 8 8 8h140q8 0 8-8V54", "step-frame") + line(22, 70, 178, 70, "step-thin")
    outer = path("M48 112q-8-26 16-28h60q24 2 16 28Z", "step-tube-thin")
    bag = path("M62 108q-4-16 10-17h44q14 1 10 17Z", "step-plasma")
    return (
        basin
        + outer
        + bag
        + rect(156, 18, 7, 76, "step-sheet", corner=3)
        + circle(159.5, 96, 6, "step-cells")
    )


def _parts() -> str:
    tubes = path("M51 34C51 8 122 8 122 40M51 34C51 2 166 2 166 40", "step-tube")
    small = _bag(104, 49, 36, 58, cells=0.7) + _bag(148, 49, 36, 58, cells=0.7)
    return tubes + _bag(26, 42, 50, 76, cells=0.3) + small


DRAWINGS: dict[str, Callable[[], str]] = {
    "scan-card": _scan_card,
    "scan-set": _scan_set,
    "empty-set-on-scale": _empty_set_on_scale,
    "fill-line": _fill_line,
    "hanging-bag": _hanging_bag,
    "stickers": _stickers,
    "waste": _waste,
    "machine": _machine,
    "folded-on-scale": _folded_on_scale,
    "opposite-buckets": _opposite_buckets,
    "layers-to-light": _layers_to_light,
    "pressed": _pressed,
    "whole-in-fridge": _whole_in_fridge,
    "running-in": _running_in,
    "against-light": _against_light,
    "segments": _segments,
    "alone-on-scale": _alone_on_scale,
    "printer": _printer,
    "scan-bag": _scan_bag,
    "put-away": _put_away,
    "animal-on-scale": _animal_on_scale,
    "test-card": _test_card,
    "sheet-of-paper": _sheet_of_paper,
    "struck-line": _struck_line,
    "set-aside": _set_aside,
    "water-bath": _water_bath,
    "parts": _parts,
}
