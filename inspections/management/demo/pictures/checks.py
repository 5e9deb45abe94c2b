"""Pictures of what is read off an instrument or a paper: ticket, air meter, slump."""

from __future__ import annotations

import re
from random import Random

from inspections.management.demo.pictures.surfaces import (
    EARTH,
    GRAVEL,
    PLYWOOD,
    SHOTCRETE,
    WET,
    surface,
)
from inspections.management.demo.pictures.tools import (
    Point,
    Sheet,
    box,
    circle,
    curve,
    direction,
    torn_mask,
)

PAPER, INK = (240, 236, 222), (38, 40, 48)


def ticket(lots: Random, details: str, caption: str) -> Sheet:
    """A delivery ticket on a clipboard, a watch beside it."""
    sheet = Sheet(surface("wood", PLYWOOD, lots), lots)
    batched = (re.search(r"\d\d:\d\d", caption) or [""])[0]
    shown = (re.search(r"\d\d:\d\d", details) or [""])[0]
    truck = (re.search(r"truck (\d+)", caption) or ["", ""])[1]
    _slip(
        sheet,
        (230, 70),
        lines=(
            ("PLANT", "2"),
            ("TRUCK", truck),
            ("BATCHED", batched),
            ("RECEIVED", ""),
        ),
    )
    _watch(sheet, (1000, 560), shown)
    return sheet


def _slip(sheet: Sheet, at: Point, *, lines: tuple[tuple[str, str], ...]) -> None:
    """A printed slip under a clip."""
    x, y = at
    board, slip = box(x, y, 600, 840), box(x + 36, y + 70, 528, 730)
    sheet.shade([(px + 26, py + 30) for px, py in board], dark=180, soft=6)
    sheet.fill(board, "wood", ((58, 40, 24), (96, 70, 44), (132, 100, 66)))
    sheet.pen.polygon(slip, fill=PAPER)
    sheet.shade(
        [
            slip[1],
            slip[2],
            (slip[2][0] - 30, slip[2][1]),
            (slip[1][0] - 12, slip[1][1]),
        ],
        dark=40,
        soft=3,
    )
    sheet.print("DELIVERY TICKET", (x + 56, y + 86), size=46)
    sheet.pen.line([(x + 66, y + 172), (x + 534, y + 172)], fill=INK, width=4)
    for n, (name, value) in enumerate(lines):
        row = y + 196 + n * 118
        sheet.print(name, (x + 58, row), size=27, colour=(92, 94, 100))
        sheet.print(value, (x + 56, row + 26), size=44)
        sheet.pen.line(
            [(x + 66, row + 90), (x + 534, row + 90)], fill=(176, 172, 160), width=2
        )
        if not value:
            _initials(sheet, (x + 80, row + 60))
    clip = box(x + 190, y - 26, 220, 92)
    sheet.pen.polygon(clip, fill=(150, 153, 158))
    sheet.pen.polygon(box(x + 190, y - 26, 220, 22), fill=(212, 214, 218))
    sheet.oval((x + 300, y + 8), 22, 22, (88, 66, 44))


def _initials(sheet: Sheet, at: Point) -> None:
    """A hand's quick mark."""
    x, y = at
    strokes = [(x + 30 * n, y + sheet.near(0, 26)) for n in range(8)]
    sheet.pen.line(curve(strokes), fill=(44, 58, 120), width=4, joint="curve")


def _watch(sheet: Sheet, at: Point, shown: str) -> None:
    x, y = at
    for strap in (box(x - 66, y - 380, 132, 280), box(x - 66, y + 100, 132, 280)):
        sheet.shade([(px + 20, py + 20) for px, py in strap], dark=170, soft=5)
        sheet.pen.polygon(strap, fill=(40, 42, 46))
        sheet.pen.polygon(
            box(strap[0][0] + 14, strap[0][1], 18, 280), fill=(62, 64, 70)
        )
    sheet.shade(circle((x + 16, y + 20), 176, 176), dark=180, soft=5)
    sheet.oval((x, y), 172, 172, (58, 60, 66))
    sheet.oval((x, y), 150, 150, (106, 110, 116))
    sheet.oval((x, y), 138, 138, (188, 196, 178))
    sheet.print(shown, (x - 142, y - 66), size=84, colour=(30, 36, 30))
    sheet.shade(
        [(x - 100, y - 96), (x - 20, y - 128), (x + 30, y - 120), (x - 80, y - 50)],
        dark=90,
        soft=5,
        colour=(255, 255, 255),
    )


def air_meter(lots: Random, details: str, caption: str) -> Sheet:
    """The dial of an air meter, its needle where the caption says."""
    sheet = Sheet(surface("wood", PLYWOOD, lots), lots)
    truck = (re.search(r"[Tt]ruck (\d+)", caption) or ["", ""])[1]
    percent = float((re.search(r"(\d+(?:\.\d+)?) %", caption) or ["", "0"])[1])
    _slip(sheet, (700, 90), lines=(("PLANT", "2"), ("TRUCK", truck), ("RECEIVED", "")))
    pot = box(120, 560, 560, 420)
    sheet.shade([(x + 40, y + 20) for x, y in pot], dark=180, soft=8)
    for n in range(14):  # a round pot: narrow strips, brighter towards the light
        tone = 96 + (n * 22 if n < 6 else (13 - n) * 16)
        sheet.pen.polygon(
            box(120 + n * 40, 560, 41, 420), fill=(tone, tone + 3, tone + 8)
        )
    for x in (150, 610):
        sheet.pen.polygon(box(x, 520, 44, 190), fill=(78, 80, 86))
        sheet.pen.polygon(box(x + 8, 520, 10, 190), fill=(168, 172, 178))
    _dial(sheet, (400, 370), 300, percent)
    return sheet


def _dial(sheet: Sheet, at: Point, radius: float, percent: float) -> None:
    """A dial from 0 to 10 percent over three quarters of a circle."""
    x, y = at
    sheet.shade(
        circle((x + 24, y + 30), radius * 1.06, radius * 1.06), dark=190, soft=8
    )
    for share, tone in (
        (1.06, (60, 62, 66)),
        (1.0, (176, 180, 186)),
        (0.94, (244, 243, 236)),
    ):
        sheet.oval(at, radius * share, radius * share, tone)
    for tenth in range(101):
        cosine, sine = direction(225 - 2.7 * tenth)
        inner = 0.72 if tenth % 10 == 0 else (0.78 if tenth % 5 == 0 else 0.82)
        ends = [(x + cosine * radius * s, y - sine * radius * s) for s in (inner, 0.88)]
        sheet.pen.line(ends, fill=INK, width=5 if tenth % 10 == 0 else 2)
        if tenth % 10 == 0:
            place = (x + cosine * radius * 0.6 - 22, y - sine * radius * 0.6 - 34)
            sheet.print(str(tenth // 10), place, size=40)
    sheet.print("PERCENT AIR", (x - 92, y + radius * 0.36), size=28)
    cosine, sine = direction(225 - 27 * percent)
    tail, tip = (
        (x - cosine * 50, y + sine * 50),
        (x + cosine * radius * 0.8, y - sine * radius * 0.8),
    )
    sheet.line(
        [(tail[0] + 6, tail[1] + 8), (tip[0] + 6, tip[1] + 8)], 8, (186, 184, 176)
    )
    sheet.line([tail, tip], 8, (168, 30, 22))
    sheet.oval(at, 22, 22, (44, 46, 50))
    sheet.oval((x - 5, y - 6), 9, 9, (150, 154, 160))


def slump_cone(lots: Random, details: str, caption: str) -> Sheet:
    """A stiff cone of concrete beside the steel cone, a rule between rod and top."""
    sheet = Sheet(surface("broken", EARTH, lots), lots)
    plate = [(60, 760), (1220, 744), (1270, 900), (10, 920)]
    sheet.shade([(x, y + 24) for x, y in plate], dark=170, soft=6)
    sheet.fill(plate, "floated", ((70, 72, 76), (122, 126, 132), (176, 180, 186)))
    _steel_cone(sheet, 300, 800)
    _concrete(sheet, 800, 802)
    rod = [(190, 290), (1010, 284)]
    sheet.line([(x + 8, y + 14) for x, y in rod], 20, (44, 42, 40))
    sheet.rod(
        *rod,
        width=22,
        colours=((80, 82, 86), (146, 150, 154), (214, 218, 222)),
        ribs=False,
    )
    _upright_rule(sheet, (806, 298), inches=5)
    sheet.pen.polygon(box(930, 120, 300, 90), fill=PAPER)
    sheet.print(
        (re.search(r"\d-\d/\d", details) or [""])[0] + " in", (952, 122), size=60
    )
    return sheet


def _steel_cone(sheet: Sheet, x: float, foot: float) -> None:
    tall, top, base = 504, 84, 168
    shape = [
        (x - top, foot - tall),
        (x + top, foot - tall),
        (x + base, foot),
        (x - base, foot),
    ]
    sheet.shade([(px + 50, py + 20) for px, py in shape], dark=170, soft=8)
    for n in range(12):  # strips around the cone, brightest left of the middle
        a, b = n / 12, (n + 1) / 12
        tone = 92 + (n * 26 if n < 5 else (11 - n) * 17)
        strip = [
            (x - top + 2 * top * a, foot - tall), (x - top + 2 * top * b + 1, foot - tall),
            (x - base + 2 * base * b + 1, foot), (x - base + 2 * base * a, foot),
        ]  # fmt: skip
        sheet.pen.polygon(strip, fill=(tone, tone + 3, tone + 6))
    sheet.pen.ellipse(
        (x - top, foot - tall - 22, x + top, foot - tall + 22), fill=(52, 54, 58)
    )
    sheet.pen.ellipse(
        (x - top, foot - tall - 22, x + top, foot - tall + 22),
        outline=(190, 194, 198),
        width=5,
    )
    for side in (-1, 1):
        grip = box(x + side * 128 - 30, foot - 300, 60, 20)
        sheet.pen.polygon(grip, fill=(74, 76, 80))


def _concrete(sheet: Sheet, x: float, foot: float) -> None:
    heap = [
        (x - 96, foot - 424), (x + 20, foot - 434), (x + 108, foot - 416), (x + 142, foot - 280),
        (x + 196, foot - 90), (x + 222, foot), (x - 222, foot), (x - 190, foot - 120), (x - 140, foot - 290),
    ]  # fmt: skip
    sheet.shade([(px + 44, py + 18) for px, py in heap], dark=180, soft=8)
    mask = torn_mask(heap, sheet.lots, rough=110, soft=3)
    sheet.pour(mask, "sprayed", WET)
    sheet.stones(
        (x - 230, foot - 440, x + 230, foot),
        count=150,
        sizes=(3, 12),
        colours=GRAVEL,
        within=mask,
    )
    sheet.shade(
        [(x + 70, foot - 420), (x + 130, foot - 400), (x + 230, foot), (x + 90, foot)],
        dark=120,
        soft=9,
    )
    sheet.shade(
        [
            (x - 80, foot - 410),
            (x - 30, foot - 410),
            (x - 90, foot - 60),
            (x - 170, foot - 60),
        ],
        dark=40,
        soft=10,
        colour=(240, 242, 244),
    )
    sheet.pour(
        torn_mask(box(x - 240, foot - 22, 480, 40), sheet.lots, rough=140, soft=3),
        "sprayed",
        SHOTCRETE,
    )


def _upright_rule(sheet: Sheet, at: Point, *, inches: int, pitch: float = 42) -> None:
    """A rule held upright, nought at the rod."""
    x, y = at
    sheet.shade(box(x + 8, y + 8, 44, inches * pitch), dark=150, soft=2)
    sheet.pen.polygon(box(x, y, 42, inches * pitch), fill=(230, 208, 92))
    for half in range(2 * inches):
        mark = y + half * pitch / 2
        sheet.pen.line(
            [(x, mark), (x + (26 if half % 2 == 0 else 14), mark)], fill=INK, width=3
        )
        if half % 2 == 0 and half:
            sheet.print(str(half // 2), (x + 14, mark - 18), size=22)
