"""People at work, seen from behind; nobody's likeness."""

from __future__ import annotations

from inspections.management.demo.pictures.surfaces import Colour
from inspections.management.demo.pictures.tools import Point, Sheet, box

ORANGE, YELLOW = (204, 92, 42), (188, 184, 66)
SKIN, GLOVE, BOOT = (150, 112, 88), (58, 56, 52), (40, 38, 36)
TROUSERS = ((52, 60, 76), (74, 70, 62), (60, 64, 62))
SHIRTS = ((78, 92, 116), (96, 92, 86), (70, 84, 74))
HATS = ((232, 228, 218), (226, 178, 44), (60, 98, 160))


def worker(
    sheet: Sheet,
    foot: Point,
    *,
    tall: float,
    hands: tuple[Point, Point],
    vest: Colour,
    lean: float = 0,
) -> None:
    """Draw a person from behind, in hat, vest and gloves, the hands where told."""
    x, y = foot
    u = tall / 100
    hip, neck = (x + lean * 0.3, y - 47 * u), (x + lean, y - 82 * u)
    shirt = SHIRTS[sheet.lots.randrange(3)]
    _legs(sheet, foot, hip, u=u)
    for side, hand in zip((-1, 1), hands, strict=True):
        shoulder = (neck[0] + side * 11 * u, neck[1] + 5 * u)
        elbow = _elbow(shoulder, hand, side * 6 * u)
        sheet.line([shoulder, elbow], 6.6 * u, _lighter(shirt, -8 if side > 0 else 6))
        sheet.line([elbow, hand], 5.4 * u, shirt)
        sheet.line(
            [(elbow[0], elbow[1] - 1.6 * u), (hand[0], hand[1] - 1.4 * u)],
            1.4 * u,
            _lighter(shirt, 24),
        )
        sheet.oval(hand, 3.6 * u, 4 * u, GLOVE)
    _body(sheet, hip, neck, u=u, vest=vest)
    _head(sheet, neck, u=u)


def _legs(sheet: Sheet, foot: Point, hip: Point, *, u: float) -> None:
    trousers = TROUSERS[sheet.lots.randrange(3)]
    for side in (-1, 1):
        top = (hip[0] + side * 4.6 * u, hip[1])
        end = (foot[0] + side * sheet.near(7.5, 1.5) * u, foot[1] - 3 * u)
        knee = ((top[0] + end[0]) / 2 + side * u, (top[1] + end[1]) / 2)
        leg = [
            (top[0] - 5.4 * u, top[1]), (top[0] + 5.4 * u, top[1]),
            (knee[0] + 4.4 * u, knee[1]), (end[0] + 4.2 * u, end[1]),
            (end[0] - 4.2 * u, end[1]), (knee[0] - 4.4 * u, knee[1]),
        ]  # fmt: skip
        sheet.pen.polygon(leg, fill=trousers)
        sheet.shade(
            [leg[1], leg[2], leg[3], (end[0] + u, end[1]), (knee[0] + u, knee[1])],
            dark=120,
            soft=1,
        )
        for share in (0.48, 0.86):  # folds at the knee and over the boot
            y = top[1] + (end[1] - top[1]) * share
            sheet.pen.line(
                [(end[0] - 4 * u, y), (end[0] + 3 * u, y + 1.6 * u)],
                fill=_lighter(trousers, -22),
                width=2,
            )
        boot = [
            (end[0] - 4.4 * u, end[1] - u),
            (end[0] + 4.4 * u, end[1] - u),
            (end[0] + side * 2 * u + 5.4 * u, foot[1] + u),
            (end[0] + side * 2 * u - 5.4 * u, foot[1] + u),
        ]
        sheet.pen.polygon(boot, fill=BOOT)


def _body(sheet: Sheet, hip: Point, neck: Point, *, u: float, vest: Colour) -> None:
    torso = [
        (neck[0] - 12.6 * u, neck[1] + 4.6 * u), (neck[0] - 10 * u, neck[1] + u), (neck[0] - 4 * u, neck[1] - u),
        (neck[0] + 4 * u, neck[1] - u), (neck[0] + 10 * u, neck[1] + u), (neck[0] + 12.6 * u, neck[1] + 4.6 * u),
        (hip[0] + 10.4 * u, hip[1] + 4 * u), (hip[0] - 10.4 * u, hip[1] + 4 * u),
    ]  # fmt: skip
    sheet.pen.polygon(torso, fill=vest)
    for share in (0.36, 0.68):
        x = neck[0] + (hip[0] - neck[0]) * share
        y = neck[1] + (hip[1] - neck[1]) * share
        wide = 11.8 * u
        sheet.pen.polygon(box(x - wide, y, 2 * wide, 4.4 * u), fill=_lighter(vest, -18))
        sheet.pen.polygon(box(x - wide, y + u, 2 * wide, 2.4 * u), fill=(196, 198, 194))
    for side in (-1, 1):
        x = neck[0] + side * 6.4 * u
        strap = [
            (x - 1.3 * u, neck[1] - 0.4 * u),
            (x + 1.3 * u, neck[1] - 0.4 * u),
            (x + 2 * u, neck[1] + 13 * u),
            (x - 0.6 * u, neck[1] + 13 * u),
        ]
        sheet.pen.polygon(strap, fill=(196, 198, 194))
    for _ in range(4):  # folds
        x, y = sheet.near(hip[0], 8 * u), sheet.near(hip[1] - 12 * u, 10 * u)
        sheet.shade(
            [(x, y), (x + u, y), (x + 3 * u, y + 11 * u), (x + u, y + 12 * u)],
            dark=90,
            soft=1,
        )
    sheet.shade(
        [
            torso[4],
            torso[5],
            torso[6],
            (hip[0] + 3 * u, hip[1] + 4 * u),
            (neck[0] + 4 * u, neck[1] + 8 * u),
        ],
        dark=110,
        soft=2,
    )


def _head(sheet: Sheet, neck: Point, *, u: float) -> None:
    hat = HATS[sheet.lots.randrange(3)]
    x, y = neck[0], neck[1] - 7 * u
    sheet.pen.polygon(box(x - 3 * u, y + 2 * u, 6 * u, 6 * u), fill=_lighter(SKIN, -30))
    sheet.oval((x, y + 1.6 * u), 4.4 * u, 5.2 * u, SKIN)
    sheet.pen.chord(
        (x - 6.4 * u, y - 8.6 * u, x + 6.4 * u, y + 6 * u), 180, 360, fill=hat
    )
    sheet.pen.ellipse(
        (x - 7.2 * u, y - 3 * u, x + 7.2 * u, y + 0.2 * u), fill=_lighter(hat, -40)
    )
    sheet.pen.chord(
        (x - 4 * u, y - 7.4 * u, x + u, y + 2 * u), 190, 320, fill=_lighter(hat, 20)
    )
    for side in (-1, 1):
        sheet.oval((x + side * 5.2 * u, y + 2 * u), 1.6 * u, 2.6 * u, (96, 38, 34))
    sheet.shade(
        [
            (x + u, y - 8 * u),
            (x + 6 * u, y - 4 * u),
            (x + 6 * u, y + 5 * u),
            (x + 2 * u, y + 6 * u),
        ],
        dark=80,
        soft=1,
    )


def _elbow(shoulder: Point, hand: Point, out: float) -> Point:
    return (shoulder[0] + hand[0]) / 2 + out, (shoulder[1] + hand[1]) / 2 + abs(
        out
    ) * 0.8


def _lighter(colour: Colour, by: int) -> Colour:
    red, green, blue = (max(0, min(255, value + by)) for value in colour)
    return red, green, blue
