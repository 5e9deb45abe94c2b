"""Surfaces of a jobsite, made of noise: sprayed concrete, plywood, earth, steel, cloth.

Large masters are made once in a process from fixed seeds; each picture cuts its own
piece out of them. No libm function is used, so that bytes repeat on any machine.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from random import Random

from PIL import Image, ImageChops, ImageEnhance, ImageFilter, ImageOps

WIDTH, HEIGHT = 1280, 960
_MASTER = (1600, 1200)
Colour = tuple[int, int, int]


def _noise(seed: int, cells: tuple[int, int]) -> Image.Image:
    """Return smooth noise over a master, of so many cells across and down."""
    raw = Random(seed).randbytes(cells[0] * cells[1])  # noqa: S311 - pictures, not keys
    small = Image.frombytes("L", cells, raw)
    return small.resize(_MASTER, Image.Resampling.BICUBIC)


def _layers(seed: int, *cells: tuple[int, int]) -> Image.Image:
    """Return noise of several sizes laid over each other, the finest weakest."""
    found = _noise(seed, cells[0])
    for n, size in enumerate(cells[1:], start=1):
        found = Image.blend(found, _noise(seed + n, size), 0.38)
    return ImageOps.autocontrast(found, cutoff=1)


def _lit(height: Image.Image, *, step: int, strength: float) -> Image.Image:
    """Return a height map as it looks with light from the upper left."""
    moved = ImageChops.offset(height, step, step)
    slope = ImageChops.subtract(moved, height, scale=1.0, offset=128)
    return ImageEnhance.Contrast(slope).enhance(strength)


@lru_cache(maxsize=16)
def master(name: str) -> Image.Image:
    """Return one grey master by name. Raises KeyError for a name there is none of."""
    return _MAKERS[name]()


def _sprayed() -> Image.Image:
    lumps = _lit(_layers(11, (30, 22), (90, 68)), step=7, strength=1.1)
    grit = _lit(_layers(15, (240, 180), (520, 390)), step=3, strength=0.75)
    return Image.blend(Image.blend(lumps, grit, 0.5), _noise(19, (60, 45)), 0.12)


def _floated() -> Image.Image:
    streaks = _layers(21, (14, 60), (60, 260), (200, 900))
    height = Image.blend(streaks, _layers(25, (40, 30), (500, 380)), 0.5)
    return Image.blend(_lit(height, step=2, strength=0.9), height, 0.3)


def _broken() -> Image.Image:
    rough = _lit(_layers(31, (22, 16), (60, 45), (130, 98)), step=9, strength=1.3)
    grit = _lit(_noise(37, (420, 310)), step=3, strength=0.6)
    return Image.blend(rough, grit, 0.35)


def _wood() -> Image.Image:
    return _layers(41, (4, 90), (10, 300), (30, 700))


def _cloth() -> Image.Image:
    over = _layers(51, (400, 12), (533, 40))
    across = _layers(53, (12, 300), (40, 400))
    return Image.blend(over, across, 0.5)


def _cloud() -> Image.Image:
    return _layers(61, (5, 4), (12, 9), (28, 21))


def _grain() -> Image.Image:
    noise = Image.frombytes("L", _MASTER, Random(71).randbytes(_MASTER[0] * _MASTER[1]))  # noqa: S311
    return noise.filter(ImageFilter.BoxBlur(0.6))


_MAKERS = {
    "sprayed": _sprayed,
    "floated": _floated,
    "broken": _broken,
    "wood": _wood,
    "cloth": _cloth,
    "cloud": _cloud,
    "grain": _grain,
}


def piece(
    name: str, lots: Random, *, size: tuple[int, int] = (WIDTH, HEIGHT)
) -> Image.Image:
    """Return a piece of a master, from a place and side that chance chooses."""
    whole = master(name)
    left = lots.randrange(whole.width - size[0] + 1)
    top = lots.randrange(whole.height - size[1] + 1)
    cut = whole.crop((left, top, left + size[0], top + size[1]))
    return ImageOps.mirror(cut) if lots.random() < 0.5 else cut


def tinted(grey: Image.Image, colours: Sequence[Colour]) -> Image.Image:
    """Return a grey picture in colours: darkest, middle, lightest."""
    dark, middle, light = colours
    bands = [
        grey.point(
            [
                a + (b - a) * v // 128 if v < 128 else b + (c - b) * (v - 128) // 127
                for v in range(256)
            ]
        )
        for a, b, c in zip(dark, middle, light, strict=True)
    ]
    return Image.merge("RGB", bands)


SHOTCRETE = ((66, 67, 67), (142, 142, 139), (206, 205, 199))
WET = ((46, 49, 52), (104, 108, 109), (164, 167, 166))
DRY = ((104, 104, 100), (174, 173, 166), (224, 222, 214))
OLD = ((54, 50, 45), (132, 124, 113), (190, 182, 170))
PLYWOOD = ((108, 80, 48), (184, 146, 98), (222, 190, 144))
EARTH = ((48, 36, 26), (112, 86, 62), (160, 130, 98))
BURLAP = ((92, 74, 48), (156, 132, 92), (206, 184, 142))
PALE_BURLAP = ((150, 132, 98), (206, 188, 150), (238, 226, 198))
GRAVEL: tuple[Colour, ...] = (
    (150, 143, 134), (122, 117, 112), (168, 158, 140), (108, 104, 101), (182, 173, 162),
)  # fmt: skip


def toned(colours: Sequence[Colour], by: int) -> tuple[Colour, ...]:
    """Return colours all lighter, or darker, by so much."""
    return tuple(
        (
            max(0, min(255, red + by)),
            max(0, min(255, green + by)),
            max(0, min(255, blue + by)),
        )
        for red, green, blue in colours
    )


def surface(
    name: str,
    colours: Sequence[Colour],
    lots: Random,
    *,
    size: tuple[int, int] = (WIDTH, HEIGHT),
) -> Image.Image:
    """Return a picture of one surface, unevenly bright like a real one."""
    grey = Image.blend(
        piece(name, lots, size=size), piece("cloud", lots, size=size), 0.22
    )
    return tinted(grey, colours)
