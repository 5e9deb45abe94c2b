"""Pictures of panels, cores and what the laboratory and the engineer look at."""

from __future__ import annotations

import re
from random import Random

from inspections.management.demo.pictures.surfaces import (
    EARTH,
    OLD,
    PLYWOOD,
    SHOTCRETE,
    WET,
    WIDTH,
    Colour,
    surface,
    toned,
)
from inspections.management.demo.pictures.tools import (
    Mask,
    Point,
    Sheet,
    box,
    circle,
    sharp_mask,
    torn_mask,
)

BENCH = ((40, 46, 54), (70, 79, 89), (110, 119, 129))
CUT_STONE: tuple[Colour, ...] = (
    (122, 114, 104), (98, 94, 92), (146, 134, 116), (84, 80, 78), (166, 158, 146), (112, 92, 78),
)  # fmt: skip
MATRIX = ((104, 104, 101), (150, 150, 146), (192, 191, 185))
DULL = ((92, 90, 86), (134, 131, 125), (172, 168, 160))
PIXELS_PER_INCH = 133


def core_face(lots: Random, details: str, caption: str) -> Sheet:
    """One core on the bench: its side with the bars cut through, its sawn end, a scale."""
    sheet = Sheet(surface("floated", toned(BENCH, lots.randrange(-8, 30)), lots), lots)
    left = sheet.near(190, 40)
    right, middle, radius = left + sheet.near(690, 60), sheet.near(430, 20), 200.0
    sheet.shade(
        [
            (x + 34, y + 56)
            for x, y in box(left, middle - radius, right - left + 120, 2 * radius)
        ],
        dark=190,
        soft=8,
    )
    _cylinder(sheet, left, right, middle, radius)
    if "bar" in details:
        _cut_bars(sheet, left, middle, radius, void="void" in details)
    if "small voids" in details:
        for _ in range(16):
            at = sheet.near(520, 310), sheet.near(middle, 150)
            sheet.oval(at, sheet.near(7, 3), sheet.near(5, 2), (44, 42, 40))
    code = re.match(r"[A-Z]{2}-\d+(?: core \d)?", caption)
    if code:
        sheet.print(
            code[0],
            (left + 40, middle - radius + 24),
            size=44,
            colour=(36, 44, 92),
            turn=2,
        )
    _scale(sheet, (left + 60, 740))
    return sheet


def _cylinder(
    sheet: Sheet, left: float, right: float, middle: float, radius: float
) -> None:
    side = box(left, middle - radius, right - left, 2 * radius)
    round_end = circle((left, middle), 56, radius)
    for shape in (round_end, side):
        sheet.fill(shape, "floated", MATRIX)
    _cut_stones(
        sheet,
        (left - 40, middle - radius, right, middle + radius),
        sharp_mask(side),
        count=230,
    )
    for top, share in ((middle - radius, 120), (middle + radius - 92, 170)):
        sheet.shade(box(left - 50, top, right - left + 60, 92), dark=share, soft=11)
    sheet.shade(
        box(left, middle - 96, right - left, 60),
        dark=60,
        soft=12,
        colour=(255, 252, 244),
    )
    end = circle((right, middle), 92, radius)
    sheet.fill(end, "floated", toned(MATRIX, 16))
    _cut_stones(
        sheet,
        (right - 92, middle - radius, right + 92, middle + radius),
        sharp_mask(end),
        count=90,
    )
    sheet.pen.line([*end, end[0]], fill=(70, 70, 68), width=4)


def _cut_stones(
    sheet: Sheet, area: tuple[float, float, float, float], within: Mask, *, count: int
) -> None:
    """Show stones cut flat, so without light and shadow of their own."""
    layer = Sheet(sheet.image.copy(), sheet.lots)
    lots = sheet.lots
    for _ in range(count):
        x = area[0] + lots.random() * (area[2] - area[0])
        y = area[1] + lots.random() * (area[3] - area[1])
        r = 4 + 17 * lots.random() ** 2
        layer.pen.polygon(
            [
                (x + r * sheet.near(dx, 0.3), y + r * sheet.near(dy, 0.3))
                for dx, dy in (
                    (1, 0),
                    (0.5, 0.9),
                    (-0.5, 0.8),
                    (-1, 0),
                    (-0.4, -0.9),
                    (0.6, -0.8),
                )
            ],
            fill=CUT_STONE[lots.randrange(len(CUT_STONE))],
        )
    stencil, (x, y) = within
    cut = layer.image.crop((x, y, x + stencil.width, y + stencil.height))
    sheet.image.paste(cut, (x, y), stencil)


def _cut_bars(
    sheet: Sheet, left: float, middle: float, radius: float, *, void: bool
) -> None:
    """Show one bar end-on in the side and another leaving at the top and bottom."""
    at = (left + sheet.near(290, 70), sheet.near(middle + 12, 30))
    if void:
        groove = circle((at[0] - 44, at[1] + 6), 70, 66)
        sheet.lay((18, 17, 16), torn_mask(groove, sheet.lots, rough=60, soft=2))
    sheet.oval(at, 46, 44, (70, 70, 70))
    sheet.oval(at, 42, 41, (128, 130, 134))
    sheet.oval((at[0] - 5, at[1] - 6), 30, 28, (164, 167, 172))
    for n in range(-3, 4):
        sheet.pen.line(
            [(at[0] - 30, at[1] + n * 9), (at[0] + 30, at[1] + n * 9 + 4)],
            fill=(146, 148, 152),
            width=1,
        )
    x = at[0] + sheet.near(150, 20)
    for y, high in ((middle - radius, 22), (middle + radius - 20, 20)):
        sheet.pen.polygon(box(x - 42, y, 84, high), fill=(72, 74, 78))
        sheet.pen.polygon(box(x - 38, y + 2, 76, high - 4), fill=(150, 153, 158))
        sheet.pen.polygon(box(x - 30, y + 4, 26, high - 8), fill=(194, 198, 202))


def _scale(sheet: Sheet, at: Point) -> None:
    """Lay a scale of inches under the core, black and white."""
    x, y = at
    sheet.shade(box(x + 8, y + 10, 5 * PIXELS_PER_INCH, 74), dark=160, soft=3)
    sheet.pen.polygon(box(x, y, 5 * PIXELS_PER_INCH, 72), fill=(240, 240, 234))
    for inch in range(5):
        tone = (24, 24, 26) if inch % 2 == 0 else (240, 240, 234)
        sheet.pen.polygon(
            box(x + inch * PIXELS_PER_INCH, y, PIXELS_PER_INCH, 26), fill=tone
        )
        sheet.print(str(inch), (x + inch * PIXELS_PER_INCH - 8, y + 24), size=32)
    sheet.print("5 in", (x + 5 * PIXELS_PER_INCH - 74, y + 24), size=32)


def broken_cores(lots: Random, details: str, caption: str) -> Sheet:
    """Cores after the break."""
    sheet = Sheet(surface("floated", BENCH, lots), lots)
    seam = "seam" in details
    for n in (0,) if seam else (0, 1, 2):
        _broken(sheet, 420 if seam else 110 + n * 385, seam=seam)
    sheet.stones((120, 700, 1180, 850), count=120, sizes=(3, 15), colours=CUT_STONE)
    code = re.match(r"TP-\d+", caption)
    sheet.pen.polygon(box(500, 862, 280, 80), fill=(238, 236, 226))
    sheet.print(code[0] if code else "", (520, 862), size=58)
    return sheet


def _broken(sheet: Sheet, x: float, *, seam: bool) -> None:
    """Stand one core in two halves: a cone of break between them."""
    wide, top, foot = 290, 150, 780
    near = sheet.near
    upper = [
        (x, top),
        (x + wide, top),
        (x + wide, near(360, 20)),
        (x + wide * 0.7, near(470, 20)),
        (x + wide * 0.42, near(400, 20)),
        (x, near(440, 20)),
    ]
    lower = [
        (x + 4, near(520, 20)),
        (x + wide * 0.4, near(470, 14)),
        (x + wide * 0.7, near(550, 20)),
        (x + wide + 6, near(450, 20)),
        (x + wide + 4, foot),
        (x + 2, foot),
    ]
    for shape in (upper, lower):
        sheet.shade([(px + 26, py + 22) for px, py in shape], dark=170, soft=6)
        mask = torn_mask(shape, sheet.lots, rough=80, soft=2)
        sheet.pour(mask, "broken", DULL)
        _cut_stones(sheet, (x, top, x + wide, foot), mask, count=130)
        for _ in range(26):
            at = near(x + wide / 2, wide / 2 - 26), near(465, 270)
            if not 400 < at[1] < 530:
                sheet.oval(at, near(6, 3), near(5, 2), (52, 50, 48))
    for edge, dark in ((x, 110), (x + wide - 70, 170)):
        sheet.shade(box(edge, top, 70, foot - top), dark=dark, soft=8)
    if seam:
        band = [
            (x - 6, 500),
            (x + wide * 0.5, 430),
            (x + wide + 8, 360),
            (x + wide + 8, 440),
            (x + wide * 0.5, 520),
            (x - 6, 590),
        ]
        mask = torn_mask(band, sheet.lots, rough=110, soft=3)
        sheet.pour(mask, "broken", ((120, 96, 62), (186, 158, 114), (220, 198, 158)))
        sheet.stones(
            (x, 350, x + wide, 590),
            count=140,
            sizes=(2, 6),
            colours=((170, 144, 104), (206, 180, 138)),
            within=mask,
        )
    rim = circle((x + wide / 2, top), wide / 2, 40)
    sheet.fill(rim, "floated", DULL)
    sheet.pen.line([*rim, rim[0]], fill=(84, 82, 78), width=3)


def panel_on_its_stand(lots: Random, details: str, caption: str) -> Sheet:
    """A production panel in its form on the stand, its code chalked on the form."""
    sheet = _yard(lots)
    if "empty place" in details:
        _panel(sheet, (150, 150), side=520, code="TP-009")
        _stand(sheet, (760, 190), side=430)
        return sheet
    code = re.match(r"[A-Z]{2}-\d+", caption)
    _panel(
        sheet,
        (sheet.near(330, 60), sheet.near(90, 20)),
        side=640,
        code=code[0] if code else "",
    )
    return sheet


def _yard(lots: Random) -> Sheet:
    """The ground where panels stand, a wall behind it."""
    ground = (
        surface("floated", SHOTCRETE, lots)
        if lots.random() < 0.5
        else surface("broken", OLD, lots)
    )
    sheet = Sheet(ground, lots)
    horizon = sheet.near(600, 30)
    sheet.fill(
        [(0, horizon), (WIDTH, horizon - 20), (WIDTH, 960), (0, 960)], "broken", EARTH
    )
    sheet.shade(
        [
            (0, horizon - 10),
            (WIDTH, horizon - 30),
            (WIDTH, horizon + 30),
            (0, horizon + 50),
        ],
        dark=120,
        soft=6,
    )
    sheet.stones(
        (0, horizon + 40, WIDTH, 950), count=70, sizes=(3, 12), colours=CUT_STONE
    )
    return sheet


def _stand(sheet: Sheet, at: Point, *, side: float) -> None:
    """Timbers that hold a form tilted back."""
    x, y = at
    for dx in (0.08, 0.84):
        leg = [
            (x + side * dx, y + side * 0.05),
            (x + side * (dx + 0.09), y + side * 0.05),
            (x + side * (dx + 0.11), y + side * 1.24),
            (x + side * (dx - 0.01), y + side * 1.24),
        ]
        sheet.shade([(px + 40, py + 30) for px, py in leg], dark=150, soft=6)
        sheet.fill(leg, "wood", PLYWOOD)
        sheet.pen.line([*leg, leg[0]], fill=(70, 50, 30), width=3)
    for dy in (0.2, 1.02):
        rail = box(x, y + side * dy, side, side * 0.085)
        sheet.shade([(px + 20, py + 26) for px, py in rail], dark=140, soft=4)
        sheet.fill(rail, "wood", PLYWOOD)
        sheet.pen.line([*rail, rail[0]], fill=(70, 50, 30), width=3)


def _panel(sheet: Sheet, at: Point, *, side: float, code: str) -> list[Point]:
    """Draw a filled form on its stand and return its face."""
    x, y = at
    _stand(sheet, (x, y + side * 0.14), side=side)
    rim = side * 0.065
    board = [
        (x, y + side),
        (x + side, y + side * 0.985),
        (x + side * 1.005, y + side * 1.15),
        (x - side * 0.01, y + side * 1.17),
    ]
    outer = [
        (x + side * 0.03, y),
        (x + side * 0.97, y),
        (x + side, y + side),
        (x, y + side),
    ]
    for shape in (outer, board):
        sheet.shade([(px + 34, py + 30) for px, py in shape], dark=170, soft=7)
    sheet.fill(outer, "wood", PLYWOOD)
    face = [
        (x + side * 0.03 + rim, y + rim),
        (x + side * 0.97 - rim, y + rim),
        (x + side - rim, y + side - rim),
        (x + rim, y + side - rim),
    ]
    sheet.pour(
        torn_mask(face, sheet.lots, rough=40, soft=1),
        "sprayed",
        WET if sheet.lots.random() < 0.6 else SHOTCRETE,
    )
    sheet.shade(
        [
            face[0],
            face[1],
            (face[1][0], face[1][1] + rim),
            (face[0][0], face[0][1] + rim),
        ],
        dark=110,
        soft=4,
    )
    for a, b in zip(outer, [*outer[1:], outer[0]], strict=True):
        sheet.pen.line([a, b], fill=(74, 54, 32), width=4)
    sheet.fill(board, "wood", toned(PLYWOOD, -30))
    sheet.pen.line([*board, board[0]], fill=(62, 44, 26), width=4)
    if code:
        sheet.chalk(
            code,
            (x + side * 0.28, y + side * 0.965),
            size=round(side * 0.125),
            turn=sheet.near(0, 1.5),
        )
    return face


def panel_cored(lots: Random, details: str, caption: str) -> Sheet:
    """A panel with five holes drilled, one of them too near the edge."""
    sheet = _yard(lots)
    code = re.match(r"TP-\d+", caption)
    side = 660
    face = _panel(sheet, (310, 60), side=side, code=code[0] if code else "")
    left, top = face[0]
    inch = (face[2][0] - face[0][0]) / 24
    for number, (x, y) in enumerate(
        ((7, 7), (16, 7), (3, 13), (12, 16), (17, 17)), start=1
    ):
        at = (left + x * inch, top + y * inch)
        sheet.oval((at[0] - 3, at[1] - 3), 1.62 * inch, 1.62 * inch, (196, 195, 188))
        sheet.oval(at, 1.5 * inch, 1.5 * inch, (34, 33, 32))
        sheet.shade(
            circle((at[0] + 5, at[1] + 8), 1.1 * inch, 1.1 * inch),
            dark=90,
            soft=2,
            colour=(120, 118, 112),
        )
        sheet.chalk(str(number), (at[0] + 1.6 * inch, at[1] - 1.6 * inch), size=40)
    third = (left + 3 * inch, top + 13 * inch)
    sheet.pen.line(
        [(left, third[1] + 60), (third[0], third[1] + 60)],
        fill=(240, 238, 230),
        width=5,
    )
    sheet.chalk("3 in", (left + 6, third[1] + 62), size=36)
    return sheet


def empty_stand(lots: Random, details: str, caption: str) -> Sheet:
    """The panel stand without a form."""
    sheet = _yard(lots)
    _stand(sheet, (380, 150), side=560)
    return sheet
