"""What a jobsite picture is put together from: a sheet, bars, people, timber, chalk."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

from PIL import Image, ImageChops, ImageDraw, ImageFilter, ImageFont

from inspections.management.demo.pictures.surfaces import (
    HEIGHT,
    WIDTH,
    Colour,
    piece,
    surface,
)

Point = tuple[float, float]
# A stencil and where its upper left corner lies on the sheet.
Mask = tuple[Image.Image, tuple[int, int]]
STEEL = ((58, 44, 36), (112, 86, 68), (168, 140, 116))
CLEAN_STEEL = ((60, 62, 66), (118, 120, 124), (190, 192, 196))
GREY_FILM = ((96, 97, 96), (146, 147, 145), (188, 189, 186))


class Sheet:
    """One picture being made: its pixels, a pen, and its own chance."""

    def __init__(self, ground: Image.Image, lots: Random) -> None:
        self.image = ground
        self.lots = lots
        self.pen = ImageDraw.Draw(ground)

    def near(self, value: float, spread: float) -> float:
        """Return a value a little off, as things on a site are."""
        return value + (self.lots.random() * 2 - 1) * spread

    def crooked(self, points: Sequence[Point], spread: float) -> list[Point]:
        """Return points each a little off, as a hand draws them."""
        return [(self.near(x, spread), self.near(y, spread)) for x, y in points]

    def fill(
        self, shape: Sequence[Point], name: str, colours: Sequence[Colour]
    ) -> None:
        """Fill a shape with a surface."""
        self.pour(sharp_mask(shape), name, colours)

    def pour(
        self, mask: Mask, name: str, colours: Sequence[Colour], *, share: int = 255
    ) -> None:
        """Fill a mask with a surface, fully or (below 255) as a thin film."""
        stencil, at = mask
        if share < 255:
            stencil = stencil.point([v * share // 255 for v in range(256)])
        poured = surface(name, colours, self.lots, size=stencil.size)
        self.image.paste(poured, at, stencil)

    def shade(
        self,
        shape: Sequence[Point],
        *,
        dark: int = 130,
        soft: float = 3,
        colour: Colour = (14, 13, 12),
    ) -> None:
        """Lay a soft shadow, or a soft light, over a shape."""
        self.lay(colour, soft_mask([shape], strength=dark, soft=soft))

    def lay(self, colour: Colour, mask: Mask) -> None:
        """Lay a colour through a mask."""
        self.image.paste(colour, mask[1], mask[0])

    def line(self, points: Sequence[Point], width: float, colour: Colour) -> None:
        """Draw a line with round ends."""
        self.pen.line(list(points), fill=colour, width=round(width), joint="curve")
        r = width / 2
        for x, y in (points[0], points[-1]):
            self.pen.ellipse((x - r, y - r, x + r, y + r), fill=colour)

    def oval(self, centre: Point, rx: float, ry: float, colour: Colour) -> None:
        x, y = centre
        self.pen.ellipse((x - rx, y - ry, x + rx, y + ry), fill=colour)

    def rod(
        self,
        start: Point,
        end: Point,
        *,
        width: float,
        colours: Sequence[Colour] = STEEL,
        ribs: bool = True,
    ) -> None:
        """Draw a bar between two points, lit from the upper left, with its ribs."""
        dark, middle, light = colours
        self.line([start, end], width, dark)
        nx, ny = _across(start, end)
        lit = 1 if nx + ny < 0 else -1
        for share, tone, offset in ((0.66, middle, 0.1), (0.2, light, 0.24)):
            dx, dy = nx * width * offset * lit, ny * width * offset * lit
            self.pen.line(
                [(start[0] + dx, start[1] + dy), (end[0] + dx, end[1] + dy)],
                fill=tone,
                width=max(1, round(width * share)),
            )
        if ribs and width >= 6:
            self._ribs(start, end, width=width, dark=dark)

    def _ribs(self, start: Point, end: Point, *, width: float, dark: Colour) -> None:
        length = abs(end[0] - start[0]) + abs(end[1] - start[1])
        ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
        nx, ny = _across(start, end)
        step, half = max(7.0, width * 0.7), width * 0.45
        for n in range(1, int(length / step)):
            x, y = start[0] + ux * n * step, start[1] + uy * n * step
            slant = half * 0.5
            self.pen.line(
                [
                    (x + nx * half + ux * slant, y + ny * half + uy * slant),
                    (x - nx * half - ux * slant, y - ny * half - uy * slant),
                ],
                fill=dark,
                width=max(1, round(width / 9)),
            )

    def chalk(
        self,
        text: str,
        at: Point,
        *,
        size: int,
        colour: Colour = (236, 236, 230),
        turn: float = 0,
    ) -> None:
        """Write by hand in chalk: broken strokes, a little crooked."""
        self._written(text, at, size=size, colour=colour, turn=turn, rough=True)

    def print(
        self,
        text: str,
        at: Point,
        *,
        size: int,
        colour: Colour = (40, 42, 48),
        turn: float = 0,
    ) -> None:
        """Write as printed."""
        self._written(text, at, size=size, colour=colour, turn=turn, rough=False)

    def _written(
        self,
        text: str,
        at: Point,
        *,
        size: int,
        colour: Colour,
        turn: float,
        rough: bool,
    ) -> None:
        font = ImageFont.load_default(size)
        box = font.getbbox(text)
        pad = size // 3
        mask = Image.new("L", (round(box[2]) + 2 * pad, round(box[3]) + 2 * pad), 0)
        pen = ImageDraw.Draw(mask)
        pen.text((pad, pad), text, font=font, fill=235, stroke_width=size // 28)
        if rough:
            worn = piece("grain", self.lots, size=mask.size)
            worn = worn.point([255 if value > 88 else 130 for value in range(256)])
            mask = ImageChops.multiply(mask, worn)
        if turn:
            mask = mask.rotate(turn, Image.Resampling.BICUBIC, expand=True)
        self.image.paste(colour, (round(at[0]), round(at[1])), mask)

    def stones(
        self,
        area: tuple[float, float, float, float],
        *,
        count: int,
        sizes: tuple[float, float],
        colours: Sequence[Colour],
        within: Mask | None = None,
    ) -> None:
        """Scatter stones over an area, each with its light and its shadow."""
        layer = self.image.copy() if within else self.image
        pen = ImageDraw.Draw(layer)
        for _ in range(count):
            x = area[0] + self.lots.random() * (area[2] - area[0])
            y = area[1] + self.lots.random() * (area[3] - area[1])
            r = sizes[0] + self.lots.random() ** 2 * (sizes[1] - sizes[0])
            _stone(pen, x, y, r, colours[self.lots.randrange(len(colours))], self.lots)
        if within:
            stencil, (left, top) = within
            cut = layer.crop((left, top, left + stencil.width, top + stencil.height))
            self.image.paste(cut, (left, top), stencil)

    def finished(self) -> Image.Image:
        """Return the picture as a small camera would have taken it."""
        image = self.image
        # Two blends with a copy moved by a pixel soften edges ten times faster than a
        # filter does.
        for step in ((1, 0), (0, 1)):
            image = Image.blend(image, ImageChops.offset(image, *step), 0.42)
        grain = piece("grain", self.lots)
        image = Image.blend(image, Image.merge("RGB", (grain, grain, grain)), 0.05)
        return ImageChops.multiply(image, _vignette())


def _stone(
    pen: ImageDraw.ImageDraw, x: float, y: float, r: float, colour: Colour, lots: Random
) -> None:
    corners = [
        (
            x + r * (dx + lots.random() * 0.5 - 0.25),
            y + r * (dy + lots.random() * 0.5 - 0.25),
        )
        for dx, dy in _ROUND
    ]
    pen.polygon(
        [(px + r * 0.28, py + r * 0.3) for px, py in corners], fill=(38, 37, 36)
    )
    pen.polygon(corners, fill=colour)
    light = tuple(min(255, value + 26) for value in colour)
    pen.polygon(
        [
            (x + (px - x) * 0.5 - r * 0.18, y + (py - y) * 0.5 - r * 0.2)
            for px, py in corners
        ],
        fill=light,
    )


# Eight points of a circle, written out so that no libm is asked for them.
_ROUND = (
    (1.0, 0.0), (0.71, 0.71), (0.0, 1.0), (-0.71, 0.71),
    (-1.0, 0.0), (-0.71, -0.71), (0.0, -1.0), (0.71, -0.71),
)  # fmt: skip


def _across(start: Point, end: Point) -> Point:
    dx, dy = end[0] - start[0], end[1] - start[1]
    length = (dx * dx + dy * dy) ** 0.5 or 1.0
    return -dy / length, dx / length


def box(x: float, y: float, wide: float, high: float) -> list[Point]:
    """Return a rectangle as a shape."""
    return [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)]


def direction(degrees: float) -> Point:
    """Return cosine and sine, by a series: the same digits on every machine."""
    angle = (degrees % 360 - 180) * 3.141592653589793 / 180
    cosine = sine = 0.0
    term = 1.0
    for n in range(1, 28):
        if n % 2:
            cosine += term
        else:
            sine += term
        term *= angle / n * (1 if n % 2 else -1)
    return -cosine, -sine


def circle(centre: Point, rx: float, ry: float, *, corners: int = 36) -> list[Point]:
    """Return an ellipse as a shape."""
    turns = (direction(360 * n / corners) for n in range(corners))
    return [(centre[0] + rx * c, centre[1] + ry * s) for c, s in turns]


def curve(points: Sequence[Point], *, steps: int = 10) -> list[Point]:
    """Return a smooth line that leaves each point towards the middle of the next two."""
    found: list[Point] = []
    for n in range(1, len(points) - 1):
        before, here, after = points[n - 1], points[n], points[n + 1]
        start = ((before[0] + here[0]) / 2, (before[1] + here[1]) / 2)
        end = ((here[0] + after[0]) / 2, (here[1] + after[1]) / 2)
        for step in range(steps + 1):
            t = step / steps
            a, b, c = (1 - t) * (1 - t), 2 * t * (1 - t), t * t
            found.append(
                (
                    a * start[0] + b * here[0] + c * end[0],
                    a * start[1] + b * here[1] + c * end[1],
                )
            )
    return found


def _bounds(
    shapes: Sequence[Sequence[Point]], *, margin: float
) -> tuple[int, int, int, int]:
    """Return the part of the sheet that shapes touch, on a grid of four pixels."""
    xs = [x for shape in shapes for x, _ in shape]
    ys = [y for shape in shapes for _, y in shape]
    left = max(0, int(min(xs) - margin) // 4 * 4)
    top = max(0, int(min(ys) - margin) // 4 * 4)
    right = min(WIDTH, int(max(xs) + margin) // 4 * 4 + 4)
    bottom = min(HEIGHT, int(max(ys) + margin) // 4 * 4 + 4)
    return left, top, max(right, left + 4), max(bottom, top + 4)


def sharp_mask(shape: Sequence[Point]) -> Mask:
    """Return a shape as a mask."""
    left, top, right, bottom = _bounds([shape], margin=1)
    stencil = Image.new("L", (right - left, bottom - top), 0)
    moved = [(x - left, y - top) for x, y in shape]
    ImageDraw.Draw(stencil).polygon(moved, fill=255)
    return stencil, (left, top)


def soft_mask(
    shapes: Sequence[Sequence[Point]], *, strength: int = 255, soft: float = 3
) -> Mask:
    """Return soft-edged shapes as a mask, drawn at a quarter of the size for speed."""
    left, top, right, bottom = _bounds(shapes, margin=soft * 10)
    size = right - left, bottom - top
    small = Image.new("L", (size[0] // 4, size[1] // 4), 0)
    pen = ImageDraw.Draw(small)
    for shape in shapes:
        pen.polygon([((x - left) / 4, (y - top) / 4) for x, y in shape], fill=strength)
    if soft:
        small = small.filter(ImageFilter.BoxBlur(soft)).filter(
            ImageFilter.BoxBlur(soft)
        )
    return small.resize(size, Image.Resampling.BILINEAR), (left, top)


def torn_mask(
    shape: Sequence[Point], lots: Random, *, rough: int = 90, soft: float = 4
) -> Mask:
    """Return a shape whose edge is torn by noise, as the edge of fresh work is."""
    smooth, at = soft_mask([shape], soft=soft)
    noise = piece("sprayed", lots, size=smooth.size)
    tearing = noise.point([v * rough // 128 for v in range(256)])
    both = ImageChops.add(smooth, tearing, 1, -rough)
    edge = [0 if v < 110 else min(255, (v - 110) * 9) for v in range(256)]
    return both.point(edge), at


_VIGNETTE: list[Image.Image] = []


def _vignette() -> Image.Image:
    if not _VIGNETTE:
        round_light = Image.radial_gradient("L").resize((WIDTH, HEIGHT))
        dimmed = round_light.point(
            [255 - max(0, v - 130) * 46 // 125 for v in range(256)]
        )
        _VIGNETTE.append(Image.merge("RGB", (dimmed, dimmed, dimmed)))
    return _VIGNETTE[0]
