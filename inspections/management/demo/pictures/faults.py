"""Pictures of what was wrong at the wall, and of the same place put right."""

from __future__ import annotations

import re
from random import Random

from inspections.management.demo.pictures.surfaces import (
    BURLAP,
    EARTH,
    GRAVEL,
    HEIGHT,
    PALE_BURLAP,
    PLYWOOD,
    SHOTCRETE,
    WET,
    WIDTH,
    surface,
)
from inspections.management.demo.pictures.tools import (
    CLEAN_STEEL,
    GREY_FILM,
    Point,
    Sheet,
    box,
    curve,
    soft_mask,
    torn_mask,
)
from inspections.management.demo.pictures.walls import boards, mat

SAND = ((92, 80, 62), (160, 144, 116), (208, 192, 164))


def overspray(lots: Random, details: str, caption: str) -> Sheet:
    """Bare bars with a grey film, or a crust, of drifted spray."""
    sheet = Sheet(surface("wood", PLYWOOD, lots), lots)
    boards(sheet, width=560)
    crust = "crust" in details
    xs = [90 + n * 178 + sheet.near(0, 10) for n in range(7)]
    sheet.lay(
        (14, 12, 10),
        soft_mask([box(x + 26, 0, 34, 860) for x in xs], strength=130, soft=4),
    )
    for x in xs:
        sheet.rod((x, -20), (sheet.near(x, 5), 880), width=34)
    for y in (210, 560):
        sheet.rod((-20, sheet.near(y, 5)), (WIDTH + 20, y), width=26)
    films = [_film(sheet, x, side=0.55 if crust else 0.35) for x in xs]
    for film in films:
        strength = 235 if crust else 170
        mask = torn_mask(film, lots, rough=120, soft=2)
        sheet.pour(mask, "sprayed", GREY_FILM, share=strength)
    joint = [(0, 850), (WIDTH, 832), (WIDTH, HEIGHT), (0, HEIGHT)]
    sheet.pour(torn_mask(joint, lots, soft=2), "sprayed", SHOTCRETE)
    return sheet


def _film(sheet: Sheet, x: float, *, side: float) -> list[Point]:
    """Return the windward side of a bar, where the film lies, over most of its height."""
    top, bottom = sheet.near(140, 120), sheet.near(800, 60)
    return [
        (x - 20, top),
        (x + 34 * (side - 0.2), top + 30),
        (x + 34 * side - 4, bottom),
        (x - 20, bottom),
    ]


def shadow_void(lots: Random, details: str, caption: str) -> Sheet:
    """Mortar built up on the bar face, and the groove it leaves behind the bar."""
    sheet = Sheet(surface("sprayed", WET, lots), lots)
    for y in (270, 650):
        groove = [
            (-20, y + 6),
            (WIDTH + 20, y + 2),
            (WIDTH + 20, y + 92),
            (-20, y + 86),
        ]
        sheet.lay((16, 16, 17), torn_mask(groove, lots, rough=70, soft=3))
        sheet.shade([(x, yy - 40) for x, yy in groove], dark=90, soft=8)
    for x in (330, 930):
        sheet.rod((x, -20), (x + 8, HEIGHT + 20), width=40)
    for y in (270, 650):
        sheet.rod((-20, y), (WIDTH + 20, y - 4), width=52)
        for at in (190, 560, 760, 1120):
            if lots.random() < 0.8:
                _knob(sheet, (sheet.near(at, 40), y - 8))
    for x, y in ((330, 270), (930, 650)):
        sheet.pour(
            torn_mask(_lump(sheet, (x, y), 90, 74), lots, soft=3), "sprayed", WET
        )
    if "tape" in details:
        _tape(sheet, (140, 800), inches=24)
    return sheet


def _lump(sheet: Sheet, at: Point, rx: float, ry: float) -> list[Point]:
    near = sheet.near
    return [
        (at[0] + rx * near(dx, 0.22), at[1] + ry * near(dy, 0.22))
        for dx, dy in (
            *((1, 0), (0.8, 0.6), (0.2, 1), (-0.6, 0.8)),
            *((-1, 0.1), (-0.7, -0.7), (0, -1), (0.7, -0.7)),
        )
    ]


def _knob(sheet: Sheet, at: Point) -> None:
    x, y = at
    rx, ry = sheet.near(74, 20), sheet.near(40, 8)
    sheet.shade(_lump(sheet, (x + 12, y + 20), rx, ry), dark=190, soft=3)
    sheet.pour(
        torn_mask(_lump(sheet, at, rx, ry), sheet.lots, soft=2), "sprayed", SHOTCRETE
    )
    sheet.shade(
        _lump(sheet, (x - 14, y - 14), rx * 0.5, ry * 0.4),
        dark=80,
        soft=4,
        colour=(236, 236, 230),
    )


def _tape(sheet: Sheet, at: Point, *, inches: int, pitch: float = 40) -> None:
    """Lay a steel tape with its inches marked."""
    x, y = at
    long = inches * pitch
    sheet.shade(box(x + 6, y + 12, long, 48), dark=160, soft=2)
    sheet.pen.polygon(box(x, y, long, 46), fill=(226, 204, 70))
    for inch in range(inches + 1):
        mark = x + inch * pitch
        sheet.pen.line([(mark, y), (mark, y + 22)], fill=(34, 30, 22), width=3)
        sheet.pen.line(
            [(mark + pitch / 2, y), (mark + pitch / 2, y + 12)],
            fill=(34, 30, 22),
            width=2,
        )
        if inch and inch % 2 == 0:
            sheet.print(str(inch), (mark - 22, y + 12), size=22)
    sheet.pen.polygon(box(x - 8, y - 4, 14, 54), fill=(150, 152, 156))


def fresh_face(lots: Random, details: str, caption: str) -> Sheet:
    """The same place closed again: two bars run into fresh, darker work."""
    sheet = Sheet(surface("sprayed", SHOTCRETE, lots), lots)
    for y in (330, 620):
        trough = [
            (-20, y - 50),
            (WIDTH + 20, y - 54),
            (WIDTH + 20, y + 56),
            (-20, y + 60),
        ]
        sheet.shade(trough, dark=120, soft=8)
        sheet.rod((-20, y), (WIDTH + 20, y - 4), width=50)
    corners = [
        (150, 190), (420, 110), (820, 130), (1120, 230), (1170, 480),
        (1080, 760), (720, 850), (330, 820), (130, 640), (90, 400),
    ]  # fmt: skip
    patch = sheet.crooked(corners, 20)
    sheet.shade([(x + 6, y + 10) for x, y in patch], dark=90, soft=6)
    sheet.pour(torn_mask(patch, lots, rough=110, soft=5), "sprayed", WET)
    sheet.shade(
        [(380, 240), (700, 200), (660, 330), (400, 360)],
        dark=40,
        soft=26,
        colour=(240, 242, 240),
    )
    return sheet


def rebound_pile(lots: Random, details: str, caption: str) -> Sheet:
    """Loose rebound lying on the bench at the foot of the bars."""
    sheet = _foot_of_the_wall(lots)
    heap = [
        (160, 830), (260, 720), (430, 630), (610, 600), (800, 640),
        (960, 730), (1080, 800), (1140, 850), (1090, 900), (220, 900),
    ]  # fmt: skip
    sheet.shade([(x + 14, y + 16) for x, y in heap], dark=170, soft=5)
    mask = torn_mask(heap, lots, rough=60, soft=3)
    sheet.pour(mask, "broken", SAND)
    wide = torn_mask([(x, y - 8) for x, y in heap], lots, rough=40, soft=4)
    sheet.stones(
        (150, 590, 1150, 900), count=520, sizes=(4, 17), colours=GRAVEL, within=wide
    )
    sheet.stones((60, 850, 1240, 940), count=60, sizes=(3, 11), colours=GRAVEL)
    return sheet


def clean_bench(lots: Random, details: str, caption: str) -> Sheet:
    """The same foot of the wall, blown clean."""
    sheet = _foot_of_the_wall(lots)
    sheet.stones((60, 850, 1240, 940), count=7, sizes=(3, 7), colours=GRAVEL)
    sheet.shade(
        [(300, 700), (940, 690), (1000, 840), (240, 850)],
        dark=30,
        soft=30,
        colour=(244, 240, 226),
    )
    return sheet


def _foot_of_the_wall(lots: Random) -> Sheet:
    sheet = Sheet(surface("wood", PLYWOOD, lots), lots)
    boards(sheet, width=520)
    mat(sheet, across=(18, 230), up=(18, 190), shift=50, cast=26, bottom=850)
    bench = [(0, 840), (WIDTH, 822), (WIDTH, HEIGHT), (0, HEIGHT)]
    sheet.fill(bench, "sprayed", SHOTCRETE)
    sheet.shade([(0, 826), (WIDTH, 808), (WIDTH, 852), (0, 868)], dark=150, soft=4)
    return sheet


def cut_out(lots: Random, details: str, caption: str) -> Sheet:
    """A square opening to full depth, its bars blasted clean."""
    sheet = Sheet(surface("floated", SHOTCRETE, lots), lots)
    left, top, side = 270, 110, 740
    hole = box(left, top, side, side)
    sheet.pour(
        torn_mask(box(left - 14, top - 14, side + 28, side + 28), lots, soft=1),
        "broken",
        SHOTCRETE,
    )
    inner = Sheet(surface("wood", PLYWOOD, lots), lots)
    inner.shade(box(0, 0, WIDTH, HEIGHT), dark=70, soft=0)
    mat(inner, across=(18, 152), up=(30, 124), colours=CLEAN_STEEL, shift=40, cast=36)
    stencil, at = torn_mask(
        box(left + 16, top + 16, side - 32, side - 32), lots, rough=60, soft=2
    )
    inside = (at[0], at[1], at[0] + stencil.width, at[1] + stencil.height)
    sheet.image.paste(inner.image.crop(inside), at, stencil)
    for strip in (box(left, top, side, 86), box(left, top, 78, side)):
        sheet.shade(strip, dark=170, soft=9)
    for (x0, y0), (x1, y1) in zip(hole, [*hole[1:], hole[0]], strict=True):
        more = 0.05
        start = (x0 - (x1 - x0) * more, y0 - (y1 - y0) * more)
        sheet.pen.line(
            [start, (x1 + (x1 - x0) * more, y1 + (y1 - y0) * more)],
            fill=(44, 44, 44),
            width=4,
        )
    square = re.match(r"[A-Z]\d\b", caption)
    if square:
        sheet.chalk(square[0], (left + side + 60, 470), size=80, turn=4)
    return sheet


def sand_pocket(lots: Random, details: str, caption: str) -> Sheet:
    """An opened wall: a sandy hole behind an upright bar, with a rule in it."""
    sheet = Sheet(surface("floated", SHOTCRETE, lots), lots)
    opening = [
        (330, 170), (560, 90), (800, 130), (960, 290), (990, 560),
        (900, 780), (660, 870), (420, 800), (280, 600), (270, 360),
    ]  # fmt: skip
    sheet.pour(torn_mask(opening, lots, rough=110, soft=3), "broken", SHOTCRETE)
    sheet.shade(opening, dark=60, soft=10)
    pocket = [
        (500, 300),
        (690, 250),
        (830, 380),
        (840, 590),
        (720, 720),
        (540, 690),
        (440, 520),
    ]
    sheet.lay((20, 18, 15), torn_mask(pocket, lots, rough=70, soft=4))
    sandy = [(x * 0.86 + 96, y * 0.86 + 90) for x, y in pocket]
    loose = torn_mask(sandy, lots, rough=120, soft=5)
    sheet.pour(loose, "broken", SAND)
    sheet.stones(
        (450, 260, 860, 720),
        count=260,
        sizes=(2, 9),
        colours=(*GRAVEL, (190, 172, 138)),
        within=loose,
    )
    sheet.shade([(640, 60), (724, 60), (724, 900), (640, 900)], dark=190, soft=6)
    sheet.rod((640, 60), (634, 900), width=72)
    for at in ((640, 120), (636, 850)):
        sheet.pour(
            torn_mask(_lump(sheet, at, 120, 90), lots, soft=3), "broken", SHOTCRETE
        )
    _tape(sheet, (716, 470), inches=4, pitch=58)
    return sheet


def sounding(lots: Random, details: str, caption: str) -> Sheet:
    """A hollow area outlined in chalk, the hammer beside it."""
    sheet = Sheet(surface("floated", SHOTCRETE, lots), lots)
    corners = [
        (400, 250), (560, 200), (720, 240), (800, 380), (790, 560),
        (700, 720), (520, 740), (390, 620), (340, 430),
    ]  # fmt: skip
    loop = sheet.crooked(corners, 14)
    for width, tone in ((11, (226, 226, 218)), (5, (246, 246, 240))):
        points = curve([*loop, *loop[:3]])
        sheet.pen.line(points, fill=tone, width=width, joint="curve")
    square = re.search(r"\b[A-Z]\d\b", caption)
    if square:
        sheet.chalk(square[0], (520, 400), size=110, turn=6)
    _hammer(sheet, (860, 470))
    return sheet


def _hammer(sheet: Sheet, at: Point) -> None:
    x, y = at
    handle = [
        (x + 40, y + 30),
        (x + 74, y + 10),
        (x + 330, y + 420),
        (x + 290, y + 446),
    ]
    head = [
        (x - 70, y + 62),
        (x - 40, y - 40),
        (x + 130, y - 78),
        (x + 150, y - 10),
        (x + 20, y + 40),
        (x - 30, y + 90),
    ]
    for shape in (handle, head):
        sheet.shade([(px + 22, py + 28) for px, py in shape], dark=170, soft=4)
    sheet.fill(handle, "wood", PLYWOOD)
    sheet.pen.polygon(head, fill=(56, 58, 62))
    sheet.pen.polygon(
        [(x - 40, y - 30), (x + 120, y - 66), (x + 126, y - 46), (x - 34, y - 10)],
        fill=(150, 154, 160),
    )
    sheet.shade(
        [(x + 40, y + 30), (x + 56, y + 20), (x + 312, y + 430), (x + 290, y + 446)],
        dark=110,
        soft=2,
    )


def dry_burlap(lots: Random, details: str, caption: str) -> Sheet:
    """Curing cloth dried pale on the upper corner, the hose valve shut."""
    sheet = Sheet(surface("sprayed", SHOTCRETE, lots), lots)
    sheet.fill([(0, 0), (WIDTH, 0), (WIDTH, 96), (0, 120)], "broken", EARTH)
    cloth = [
        (0, 140),
        (WIDTH, 112),
        (WIDTH, 800),
        (980, 842),
        (700, 806),
        (380, 858),
        (0, 820),
    ]
    sheet.shade([(x, y + 26) for x, y in cloth], dark=150, soft=6)
    sheet.fill(cloth, "cloth", BURLAP)
    pale = [(420, 120), (WIDTH, 100), (WIDTH, 590), (1000, 640), (760, 520), (560, 300)]
    sheet.pour(soft_mask([pale], soft=14), "cloth", PALE_BURLAP)
    for n in range(7):
        x = 80 + n * 190 + sheet.near(0, 30)
        fold = [
            (x, 150),
            (x + 26, 150),
            (x + sheet.near(60, 20), 800),
            (x + sheet.near(20, 16), 800),
        ]
        sheet.shade(fold, dark=80, soft=6)
        sheet.shade(
            [(px - 34, py) for px, py in fold], dark=54, soft=6, colour=(255, 248, 228)
        )
    _soaker(sheet)
    return sheet


def _soaker(sheet: Sheet) -> None:
    """Run a hose along the top, its valve lever across: shut."""
    line = curve([(-60, 150), (240, 120), (560, 150), (860, 104), (WIDTH + 60, 128)])
    sheet.pen.line(
        [(x + 6, y + 18) for x, y in line], fill=(60, 50, 36), width=34, joint="curve"
    )
    sheet.pen.line(line, fill=(38, 74, 58), width=36, joint="curve")
    sheet.pen.line(
        [(x, y - 9) for x, y in line], fill=(92, 138, 112), width=8, joint="curve"
    )
    sheet.pen.polygon(box(900, 76, 130, 66), fill=(176, 150, 74))
    sheet.pen.polygon(box(900, 84, 130, 14), fill=(226, 206, 140))
    sheet.pen.polygon(box(948, 8, 30, 130), fill=(176, 34, 26))
    sheet.pen.polygon(box(952, 12, 8, 120), fill=(226, 96, 80))
    sheet.oval((963, 110), 17, 17, (96, 90, 80))
