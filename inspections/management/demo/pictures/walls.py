"""Pictures of the wall itself: bars before the first shot, faces after, what went wrong."""

from __future__ import annotations

import re
from collections.abc import Sequence
from random import Random

from inspections.management.demo.pictures.surfaces import (
    EARTH,
    HEIGHT,
    OLD,
    PLYWOOD,
    SHOTCRETE,
    WET,
    WIDTH,
    Colour,
    surface,
)
from inspections.management.demo.pictures.tools import (
    CLEAN_STEEL,
    STEEL,
    Point,
    Sheet,
    box,
    soft_mask,
    torn_mask,
)

PIXELS_PER_INCH = 19


def mat(
    sheet: Sheet,
    *,
    across: tuple[float, float],
    up: tuple[float, float],
    colours: Sequence[Colour] = STEEL,
    shift: float = 0,
    cast: float = 10,
    bottom: float = HEIGHT + 20,
    shadows: int = 120,
) -> list[Point]:
    """Draw one curtain of bars and return its crossings.

    `across` is diameter and spacing of the level bars, `up` of the upright ones, in
    pixels; `cast` is how far the shadow falls, so how far the bars stand off.
    """
    levels = _places(sheet, spacing=across[1], start=shift * 0.7 - 30, stop=bottom)
    uprights = _places(sheet, spacing=up[1], start=shift - 30, stop=WIDTH + 30)
    if shadows:
        sheet.lay(
            (12, 11, 10),
            soft_mask(
                [
                    _strip((-20, y + cast), (WIDTH + 20, y + cast), across[0])
                    for y in levels
                ]
                + [
                    _strip((x + cast, -20), (x + cast, bottom), up[0]) for x in uprights
                ],
                strength=shadows,
                soft=1 + cast / 12,
            ),
        )
    for y in levels:
        ends = (-20, sheet.near(y, 3)), (WIDTH + 20, sheet.near(y, 3))
        sheet.rod(*ends, width=across[0], colours=colours)
    for x in uprights:
        foot = sheet.near(x, 3), bottom
        sheet.rod((sheet.near(x, 3), -20), foot, width=up[0], colours=colours)
    return [(x, y) for x in uprights for y in levels]


def _places(sheet: Sheet, *, spacing: float, start: float, stop: float) -> list[float]:
    found, at = [], start
    while at < stop:
        found.append(sheet.near(at, spacing * 0.03))
        at += spacing
    return found


def _strip(start: Point, end: Point, width: float) -> list[Point]:
    half = width / 2
    level = abs(end[0] - start[0]) > abs(end[1] - start[1])
    dx, dy = (0, half) if level else (half, 0)
    return [
        (start[0] - dx, start[1] - dy),
        (end[0] - dx, end[1] - dy),
        (end[0] + dx, end[1] + dy),
        (start[0] + dx, start[1] + dy),
    ]


def tie(sheet: Sheet, at: Point, *, size: float) -> None:
    """Draw a wire tie round two crossing bars."""
    x, y = at
    for dx in (-1, 1):
        sheet.pen.line(
            [(x - dx * size, y - size), (x + dx * size, y + size)],
            fill=(34, 32, 30),
            width=3,
        )
    sheet.pen.line(
        [(x, y), (x + size * 1.4, y - size * 1.7)], fill=(60, 56, 52), width=2
    )


def _bars_of(details: str) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return upright and level bars, diameter and spacing in pixels, from the words."""
    found = re.findall(r"No\. (\d+)[a-z ]*@ (\d+)", details) or [("5", "8")]
    sized = [
        (int(number) / 8 * PIXELS_PER_INCH, int(gap) * PIXELS_PER_INCH)
        for number, gap in found
    ]
    return sized[0], sized[-1]


def boards(sheet: Sheet, *, width: float = 420) -> None:
    """Draw the joints and screws of a plywood form."""
    x = sheet.near(width * 0.4, 60)
    while x < WIDTH:
        sheet.pen.line([(x, 0), (x, HEIGHT)], fill=(58, 42, 24), width=4)
        sheet.pen.line([(x + 4, 0), (x + 4, HEIGHT)], fill=(196, 160, 110), width=1)
        for y in range(40, HEIGHT, 150):
            sheet.oval((x - 16, y), 4, 4, (70, 62, 54))
            sheet.oval((x + 20, y + 6), 4, 4, (70, 62, 54))
        x += width


def bars_before(lots: Random, details: str, caption: str) -> Sheet:
    """Bars in place and clean, before the first shot."""
    if "overhead" in details:
        return _bars_overhead(lots, details)
    upright, level = _bars_of(details)
    existing = "existing" in details
    formed = not existing and "portal" not in caption
    ground = surface("wood", PLYWOOD, lots) if formed else surface("broken", OLD, lots)
    sheet = Sheet(ground, lots)
    if formed:
        boards(sheet)
    if "2 curtain" in details:
        mat(sheet, across=level, up=upright, shift=upright[1] * 0.5, cast=12)
        sheet.shade([(0, 0), (WIDTH, 0), (WIDTH, HEIGHT), (0, HEIGHT)], dark=42, soft=0)
    steel = CLEAN_STEEL if existing else STEEL
    crossings = mat(
        sheet,
        across=level,
        up=upright,
        colours=steel,
        shift=lots.random() * 60,
        cast=34,
    )
    for point in crossings:
        if lots.random() < 0.55:
            tie(sheet, point, size=upright[0] * 0.7)
    if not existing:
        _guide_wire(sheet)
    _rule(sheet, (sheet.near(620, 160), HEIGHT - 190))
    return sheet


def _guide_wire(sheet: Sheet) -> None:
    x = sheet.near(320, 160)
    sheet.pen.line([(x + 22, 0), (x + 30, HEIGHT)], fill=(40, 36, 32), width=2)
    sheet.pen.line([(x, 0), (x + 8, HEIGHT)], fill=(226, 224, 216), width=3)


def _rule(sheet: Sheet, at: Point) -> None:
    """Lay a folding rule across the bars, so that the spacing can be read."""
    x, y = at
    long, wide = 24 * PIXELS_PER_INCH, 30
    sheet.shade(box(x + 8, y + 12, long, wide), dark=150, soft=2)
    sheet.pen.polygon(box(x, y, long, wide), fill=(224, 196, 74))
    for inch in range(25):
        mark = wide * (0.75 if inch % 6 == 0 else 0.4)
        at_x = x + inch * PIXELS_PER_INCH
        sheet.pen.line([(at_x, y), (at_x, y + mark)], fill=(36, 32, 24), width=2)


def soffit(sheet: Sheet, *, bar: float, gap: float, girders: bool = False) -> None:
    """Draw bars under a soffit or a crown: rows that come together away from the eye."""
    far = (WIDTH / 2 + sheet.near(0, 90), -520.0)
    rows = [40 + n * gap * (0.45 + 0.05 * n) for n in range(12)]
    fan = [x * gap * 0.95 for x in range(-3, 17)]

    def along(foot: float, y: float) -> Point:
        share = (HEIGHT - y) / (HEIGHT - far[1])
        return foot + (far[0] - foot) * share, y

    shadows = [
        [
            along(f + 18, HEIGHT),
            along(f + 30, HEIGHT),
            along(f + 22, 0),
            along(f + 15, 0),
        ]
        for f in fan
    ]
    shadows += [_strip((0, y - 26), (WIDTH, y - 26), 12) for y in rows]
    sheet.lay((12, 11, 10), soft_mask(shadows, strength=130, soft=3))
    if girders:
        for y in (rows[2] - 20, rows[7] - 30):
            _girder(sheet, y)
    for n, y in enumerate(rows):
        ends = (-20, sheet.near(y, 3)), (WIDTH + 20, sheet.near(y, 3))
        sheet.rod(*ends, width=bar * (0.7 + 0.06 * n))
    for foot in fan:
        sheet.rod(along(foot, -20), along(foot, HEIGHT + 20), width=bar * 1.05)


def _bars_overhead(lots: Random, details: str) -> Sheet:
    crown = "lattice" in details
    ground = surface("broken", OLD, lots) if crown else surface("wood", PLYWOOD, lots)
    sheet = Sheet(ground, lots)
    _, (bar, gap) = _bars_of(details)
    soffit(sheet, bar=bar, gap=gap, girders=crown)
    _light_from_below(sheet)
    return sheet


def _girder(sheet: Sheet, y: float) -> None:
    """A lattice girder across the crown: two chords and a zigzag."""
    high = 64
    for chord in (y, y + high):
        sheet.rod((-20, chord), (WIDTH + 20, chord), width=20, colours=CLEAN_STEEL)
    x, top = -20, True
    while x < WIDTH + 60:
        a, b = (y, y + high) if top else (y + high, y)
        sheet.rod((x, a), (x + 58, b), width=11, colours=CLEAN_STEEL, ribs=False)
        x, top = x + 58, not top


def _light_from_below(sheet: Sheet) -> None:
    sheet.shade([(0, 0), (WIDTH, 0), (WIDTH, 300), (0, 240)], dark=120, soft=26)
    glow = [(320, HEIGHT), (420, 640), (860, 640), (980, HEIGHT)]
    sheet.shade(glow, dark=46, soft=40, colour=(255, 244, 214))


def finished_face(lots: Random, details: str, caption: str) -> Sheet:
    """A finished face: as shot, flashed, or worked with rod and float."""
    gun = "gun" in details
    name = "sprayed" if gun and "flash" not in details else "floated"
    tone = WET if lots.random() < 0.35 else SHOTCRETE
    sheet = Sheet(surface(name, tone, lots), lots)
    if not gun and lots.random() < 0.6:
        _dowels(sheet)
    if gun and "flash" in details:
        rough = torn_mask(box(0, 0, WIDTH, HEIGHT), lots, rough=150)
        sheet.pour(rough, "sprayed", tone, share=90)
    if not gun:
        _float_marks(sheet)
    ground = HEIGHT - sheet.near(120, 30)
    if "gun" in details and "flash" not in details:
        _pins(sheet)
    else:
        _form_edge(sheet)
        sheet.fill(
            [(0, ground), (WIDTH, ground - 26), (WIDTH, HEIGHT), (0, HEIGHT)],
            "broken",
            EARTH,
        )
        sheet.shade(
            [
                (0, ground - 16),
                (WIDTH, ground - 42),
                (WIDTH, ground - 10),
                (0, ground + 20),
            ],
            dark=150,
            soft=4,
        )
    sheet.shade([(0, 0), (430, 0), (120, HEIGHT), (0, HEIGHT)], dark=34, soft=40)
    code = re.match(r"PL-\d+", caption)
    if code:
        place = (sheet.near(240, 90), sheet.near(540, 120))
        sheet.chalk(code[0], place, size=76, turn=sheet.near(0, 5))
    return sheet


# A quarter of a circle in twelve steps, written out: cosine and sine.
_ARC = (
    (1.0, 0.0), (0.991, 0.131), (0.966, 0.259), (0.924, 0.383), (0.866, 0.5),
    (0.793, 0.609), (0.707, 0.707), (0.609, 0.793), (0.5, 0.866), (0.383, 0.924),
    (0.259, 0.966), (0.131, 0.991),
)  # fmt: skip


def _float_marks(sheet: Sheet) -> None:
    """Lay the overlapping sweeps that a wood float leaves."""
    sweeps = []
    for _ in range(26):
        x, y = sheet.near(WIDTH / 2, WIDTH / 2), sheet.near(HEIGHT / 2, HEIGHT / 2)
        r, wide = sheet.near(190, 70), sheet.near(16, 7)
        outer = [(x + r * c, y - r * s * 0.7) for c, s in _ARC]
        inner = [(x + (r - wide) * c, y - (r - wide) * s * 0.7) for c, s in _ARC]
        sweeps.append(outer + inner[::-1])
    sheet.lay((60, 61, 60), soft_mask(sweeps[::2], strength=44, soft=1))
    sheet.lay((214, 214, 208), soft_mask(sweeps[1::2], strength=38, soft=1))


def _dowels(sheet: Sheet) -> None:
    """Leave the bars of the next lift standing out above the joint."""
    joint = sheet.near(170, 30)
    sheet.fill(box(0, 0, WIDTH, joint), "wood", PLYWOOD)
    sheet.shade(box(0, 0, WIDTH, joint), dark=60, soft=6)
    x = sheet.near(60, 40)
    while x < WIDTH:
        sheet.rod((x, -10), (sheet.near(x, 4), joint + 8), width=15)
        x += 152
    edge = torn_mask(box(-40, joint - 22, WIDTH + 80, 40), sheet.lots, soft=2)
    sheet.pour(edge, "sprayed", SHOTCRETE)


def _pins(sheet: Sheet) -> None:
    """Set the depth pins a gun finish is shot to."""
    for n in range(9):
        x = 130 + (n % 3) * 500 + sheet.near(0, 60)
        y = 140 + (n // 3) * 300 + sheet.near(0, 50)
        sheet.shade(
            [(x, y), (x + 44, y + 30), (x + 38, y + 38), (x - 4, y + 8)],
            dark=150,
            soft=1,
        )
        sheet.oval((x, y), 9, 9, (70, 66, 60))
        sheet.oval((x - 2, y - 2), 5, 5, (176, 170, 160))


def _form_edge(sheet: Sheet) -> None:
    """Stand the edge form along one side."""
    x = WIDTH - sheet.near(130, 20)
    sheet.shade(box(x - 26, 0, 34, HEIGHT), dark=120, soft=5)
    sheet.fill(box(x, 0, 200, HEIGHT), "wood", PLYWOOD)
    sheet.pen.line([(x, 0), (x, HEIGHT)], fill=(66, 46, 26), width=5)
