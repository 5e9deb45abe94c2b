"""Pictures of people shooting, by day and by night, at a wall and overhead."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

from inspections.management.demo.pictures.people import ORANGE, YELLOW, worker
from inspections.management.demo.pictures.surfaces import (
    EARTH,
    HEIGHT,
    OLD,
    PLYWOOD,
    WET,
    WIDTH,
    surface,
)
from inspections.management.demo.pictures.tools import (
    Point,
    Sheet,
    box,
    curve,
    soft_mask,
    torn_mask,
)
from inspections.management.demo.pictures.walls import boards, mat, soffit

DUST = (196, 194, 188)


def hose(sheet: Sheet, points: Sequence[Point], *, width: float) -> None:
    """Draw a material hose along points."""
    line = curve(points)
    for shift, size, tone in (
        (0, 1.0, (30, 30, 32)),
        (-0.16, 0.5, (58, 58, 62)),
        (-0.26, 0.14, (112, 112, 116)),
    ):
        moved = [(x, y + shift * width) for x, y in line]
        sheet.pen.line(
            moved, fill=tone, width=max(1, round(width * size)), joint="curve"
        )


def stream(sheet: Sheet, tip: Point, target: Point, *, spread: float) -> None:
    """Draw the stream from the nozzle to the work, and the dust where it hits."""
    dx, dy = target[0] - tip[0], target[1] - tip[1]
    length = (dx * dx + dy * dy) ** 0.5
    nx, ny = -dy / length, dx / length
    for wide, strength, soft, tone in (
        (1.0, 150, 4, DUST),
        (0.45, 190, 2, (156, 154, 150)),
    ):
        half = spread * wide / 2
        cone = [
            (tip[0] + nx * 7, tip[1] + ny * 7), (tip[0] - nx * 7, tip[1] - ny * 7),
            (target[0] - nx * half, target[1] - ny * half),
            (target[0] + nx * half, target[1] + ny * half),
        ]  # fmt: skip
        sheet.lay(tone, soft_mask([cone], strength=strength, soft=soft))
    cloud = [
        (target[0] + spread * near_x, target[1] + spread * near_y)
        for near_x, near_y in (
            *((-1.3, -0.2), (-0.7, -0.9), (0.3, -1.1), (1.2, -0.5)),
            *((1.3, 0.4), (0.5, 1.0), (-0.6, 0.9)),
        )
    ]
    sheet.lay(DUST, soft_mask([cloud], strength=150, soft=15))
    for _ in range(70):
        x = sheet.near(target[0], spread * 1.6)
        y = sheet.near(target[1] + spread * 0.5, spread * 1.6)
        grain = sheet.near(2.4, 1.2)
        sheet.oval((x, y), grain, grain, (74, 72, 70))


def nozzle(sheet: Sheet, tail: Point, tip: Point) -> None:
    """Draw the nozzle body with its rings, from the hose to the tip."""
    sheet.line([tail, tip], 26, (44, 46, 50))
    sheet.line([(tail[0], tail[1] - 5), (tip[0], tip[1] - 5)], 9, (120, 124, 130))
    for share, size, tone in (
        (0.15, 34, (150, 126, 60)),
        (0.5, 32, (96, 98, 102)),
        (0.98, 20, (30, 30, 32)),
    ):
        x, y = (
            tail[0] + (tip[0] - tail[0]) * share,
            tail[1] + (tip[1] - tail[1]) * share,
        )
        sheet.oval((x, y), size / 2, size / 2, tone)


def shooting(lots: Random, details: str, caption: str) -> Sheet:
    """A nozzle operator and a blowpipe at the face."""
    if "overhead" in details:
        return shooting_overhead(lots, details, caption)
    sheet = _wall_being_shot(lots)
    _deck(sheet, 842)
    left = lots.random() < 0.5
    x = sheet.near(600, 40) if left else sheet.near(690, 40)
    way = 1 if left else -1
    tip, target = (x + way * 178, 470), (x + way * 400, 390 + sheet.near(0, 40))
    stream(sheet, tip, target, spread=120)
    hose(
        sheet,
        [
            (x - way * 1300, 1180),
            (x - way * 700, 1010),
            (x - way * 330, 850),
            (x - way * 120, 640),
            (x + way * 10, 560),
            (x + way * 90, 500),
            (x + way * 150, 480),
        ],
        width=40,
    )
    nozzle(sheet, (x + way * 66, 512), tip)
    hands = (x + 40 * way, 536), (x + 112 * way, 500)
    reach = hands if left else (hands[1], hands[0])
    helper = x - way * 330
    sheet.line(
        [(helper + way * 20, 590), (helper + way * 250, 742)], 11, (120, 124, 128)
    )
    sheet.lay(
        (226, 226, 222),
        soft_mask(
            [
                [
                    (helper + way * 250, 736),
                    (helper + way * 360, 760),
                    (helper + way * 350, 830),
                    (helper + way * 246, 752),
                ]
            ],
            strength=90,
            soft=6,
        ),
    )
    hands = (helper + way * 30, 600), (helper + way * 110, 652)
    worker(
        sheet,
        (helper, 880),
        tall=600,
        hands=hands if left else (hands[1], hands[0]),
        vest=YELLOW,
    )
    worker(
        sheet, (x - way * 40, 868), tall=640, hands=reach, vest=ORANGE, lean=way * 20
    )
    haze = [
        (x + way * 60, 180),
        (x + way * 620, 120),
        (x + way * 620, 760),
        (x + way * 40, 640),
    ]
    sheet.shade(haze, dark=58, soft=44, colour=DUST)
    return sheet


def _wall_being_shot(lots: Random) -> Sheet:
    sheet = Sheet(surface("wood", PLYWOOD, lots), lots)
    boards(sheet)
    mat(sheet, across=(13, 128), up=(13, 128), shift=lots.random() * 60, cast=20)
    line = sheet.near(430, 50)
    body = [
        (-40, line + 40),
        (280, line),
        (640, line - 50),
        (960, line + 10),
        (WIDTH + 40, line - 30),
        (WIDTH + 40, HEIGHT),
        (-40, HEIGHT),
    ]
    sheet.shade([(x, y - 14) for x, y in body], dark=110, soft=5)
    sheet.pour(torn_mask(body, lots, rough=140, soft=6), "sprayed", WET)
    return sheet


def _deck(sheet: Sheet, y: float) -> None:
    """Lay the scaffold planks people stand on."""
    sheet.fill([(0, y), (WIDTH, y - 8), (WIDTH, HEIGHT), (0, HEIGHT)], "wood", PLYWOOD)
    sheet.shade(
        [(0, y - 12), (WIDTH, y - 20), (WIDTH, y + 18), (0, y + 26)], dark=150, soft=3
    )
    for n in (1, 2):
        sheet.pen.line(
            [(0, y + n * 40), (WIDTH, y - 8 + n * 42)], fill=(60, 44, 26), width=4
        )


def shooting_overhead(lots: Random, details: str, caption: str) -> Sheet:
    """An operator shooting upward, from a scaffold."""
    ground = (
        surface("broken", OLD, lots)
        if "crown" in caption
        else surface("wood", PLYWOOD, lots)
    )
    sheet = Sheet(ground, lots)
    soffit(sheet, bar=12, gap=104)
    shot = [(-40, -20), (WIDTH * 0.46, -20), (WIDTH * 0.4, 190), (260, 330), (-40, 380)]
    sheet.pour(torn_mask(shot, lots, rough=140, soft=6), "sprayed", WET)
    back = [(0, 560), (WIDTH, 520), (WIDTH, HEIGHT), (0, HEIGHT)]
    sheet.fill(back, "broken", EARTH)
    sheet.shade(back, dark=120, soft=8)
    _scaffold(sheet)
    tip, target = (636, 350), (600, 96)
    stream(sheet, tip, target, spread=130)
    hose(
        sheet,
        [
            (1700, 1010),
            (1400, 960),
            (1120, 880),
            (900, 830),
            (800, 640),
            (720, 560),
            (664, 470),
            (646, 420),
        ],
        width=40,
    )
    nozzle(sheet, (656, 452), tip)
    worker(
        sheet,
        (760, 872),
        tall=560,
        hands=((668, 500), (652, 424)),
        vest=ORANGE,
        lean=-26,
    )
    sheet.shade(box(360, 60, 520, 420), dark=52, soft=44, colour=DUST)
    if "night" in details:
        _night(sheet)
    else:
        sheet.shade([(0, 0), (WIDTH, 0), (WIDTH, 120), (0, 160)], dark=80, soft=18)
    return sheet


def _scaffold(sheet: Sheet) -> None:
    for x in (150, 1100):
        sheet.rod(
            (x, HEIGHT),
            (x + 6, 250),
            width=24,
            colours=((70, 72, 76), (130, 134, 138), (196, 200, 204)),
            ribs=False,
        )
    for y in (610, 730):
        sheet.rod(
            (120, y),
            (1130, y - 6),
            width=16,
            colours=((70, 72, 76), (130, 134, 138), (196, 200, 204)),
            ribs=False,
        )
    _deck(sheet, 862)


def _night(sheet: Sheet) -> None:
    """Darken the picture but for what two lamps reach."""
    sheet.shade(box(0, 0, WIDTH, HEIGHT), dark=118, soft=0, colour=(10, 12, 22))
    for x in (96, 1180):
        beam = [(x, 470), (640 - 260, 60), (640 + 260, 60)]
        sheet.shade(beam, dark=70, soft=22, colour=(255, 240, 200))
        sheet.shade(
            box(x - 90, 390, 180, 150), dark=150, soft=14, colour=(255, 236, 190)
        )
        sheet.oval((x, 462), 34, 26, (255, 252, 240))
        sheet.line([(x, 490), (x, 880)], 10, (24, 24, 26))


def blowpipe_idle(lots: Random, details: str, caption: str) -> Sheet:
    """The blowpipe left hanging on the rail while shooting goes on behind."""
    sheet = _wall_being_shot(lots)
    _deck(sheet, 820)
    stream(sheet, (470, 430), (270, 360), spread=110)
    nozzle(sheet, (560, 470), (470, 430))
    hose(
        sheet,
        [(1100, 1000), (860, 860), (700, 640), (640, 520), (600, 490), (560, 470)],
        width=34,
    )
    worker(
        sheet,
        (660, 836),
        tall=520,
        hands=((540, 470), (606, 492)),
        vest=ORANGE,
        lean=-16,
    )
    steel = ((92, 94, 98), (156, 160, 164), (216, 220, 224))
    for y in (640, 900):
        sheet.shade(box(-20, y + 10, WIDTH + 40, 44), dark=110, soft=4)
        sheet.rod((-20, y), (WIDTH + 20, y - 30), width=40, colours=steel, ribs=False)
    sheet.rod((1150, HEIGHT + 20), (1150, 380), width=44, colours=steel, ribs=False)
    pipe = [(930, 560), (936, 620), (900, 800), (880, 1000)]
    sheet.pen.line(
        [(x + 16, y + 14) for x, y in curve(pipe, steps=6)],
        fill=(34, 32, 30),
        width=26,
        joint="curve",
    )
    sheet.rod(
        (928, 540),
        (896, 930),
        width=24,
        colours=((60, 70, 84), (112, 126, 146), (184, 196, 210)),
        ribs=False,
    )
    sheet.line([(930, 548), (946, 600), (930, 624)], 13, (48, 50, 54))
    hose(
        sheet,
        [(900, 900), (890, 960), (1010, 1010), (1220, 930), (1330, 900)],
        width=30,
    )
    return sheet
