"""The style sheets keep what the look promises, computed from their own text."""

from __future__ import annotations

import itertools
import re
from pathlib import Path

import pytest

CSS = Path(__file__).parents[3] / "project" / "static" / "project" / "css"
THEMES = {"light": ":root", "sun": ':root[data-theme="sun"]', "dark": ':root[data-theme="dark"]'}  # fmt: skip
PAPERS = ("paper", "leaf", "tint")


def inks(selector: str) -> dict[str, str]:
    """Return the inks one block of tokens.css sets."""
    text = (CSS / "tokens.css").read_text()
    block = text.split(f"{selector} {{")[1].split("}")[0]
    return dict(re.findall(r"--([a-z0-9-]+): (#[0-9a-f]{6});", block))


def theme(name: str) -> dict[str, str]:
    return inks(THEMES["light"]) | inks(THEMES[name])


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours (WCAG 2.2, its definitions of contrast
    ratio and relative luminance, from memory)."""

    def luminance(colour: str) -> float:
        parts = (int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5))
        linear = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)  # fmt: skip
        return sum(k * p for k, p in zip((0.2126, 0.7152, 0.0722), linear, strict=True))

    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_contrast_formula_gives_the_two_known_ratios():
    # Black on white is 21 by definition; #767676 is the lightest grey that gives 4.5
    # on white (widely published example, from memory).
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)


@pytest.mark.parametrize("name", THEMES)
def test_every_text_reaches_enhanced_contrast_on_every_paper(name):
    # WCAG 2.2, 1.4.6: 7 to 1 (from memory).
    colours = theme(name)
    for ink, paper in itertools.product(("ink", "ink2", "accent", "oxide"), PAPERS):
        assert contrast(colours[ink], colours[paper]) >= 7, (ink, paper)
    assert contrast(colours["on-accent"], colours["accent"]) >= 7
    assert contrast(colours["on-oxide"], colours["oxide"]) >= 7


@pytest.mark.parametrize("name", THEMES)
def test_every_line_that_means_something_is_seen(name):
    # WCAG 2.2, 1.4.11 asks 3 to 1 of controls (from memory); ours stay above 4.5.
    colours = theme(name)
    for line, paper in itertools.product(("rule", "line"), PAPERS):
        assert contrast(colours[line], colours[paper]) >= 4.5, (line, paper)


def test_a_dark_device_gets_the_dark_theme():
    assert inks(':root[data-theme="auto"]') == inks(THEMES["dark"])


def test_nothing_on_screen_is_smaller_than_fourteen_pixels():
    for sheet in sorted(CSS.glob("*.css")):
        if sheet.name == "print.css":
            continue
        for size in re.findall(r"font(?:-size)?:[^;]*?([\d.]+)rem", sheet.read_text()):
            assert float(size) * 16 >= 14, (sheet.name, size)


def test_corners_are_square_and_nothing_moves_or_casts_a_shadow():
    for sheet in sorted(CSS.glob("*.css")):
        text = sheet.read_text()
        for banned in (
            "box-shadow",
            "text-shadow",
            "animation",
            "transition",
            "@import",
        ):
            assert banned not in text, (sheet.name, banned)
        # Round are only the radio's ring and its dot.
        assert set(re.findall(r"border-radius: ([^;]+);", text)) <= {"0", "50%"}


def test_every_ink_a_drawing_may_name_has_its_classes():
    from project.charts.drawing import Ink

    text = (CSS / "drawing.css").read_text()
    for ink in Ink:
        assert f".f-{ink} " in text, ink
        assert f".s-{ink} " in text, ink
