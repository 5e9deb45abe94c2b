"""The packet's inks, as the page language says them."""

from __future__ import annotations

from project.charts.drawing import Ink

# The light theme's inks, on paper: ink is pure black, so that a printer sets it solid.
_COLOURS = {
    Ink.INK: "000000",
    Ink.SECOND: "43464E",
    Ink.RULE: "656870",
    Ink.LINE: "3A3D45",
    Ink.ACCENT: "56177A",
    Ink.OXIDE: "8A1A10",
    Ink.ON_OXIDE: "FFFFFF",
    Ink.GRID: "DDD9CE",
    Ink.PAPER: "FFFFFF",
    Ink.TINT: "F4EBF8",
}


def _components(colour: str) -> str:
    levels = [f"{int(colour[at : at + 2], 16) / 255:.3g}" for at in (0, 2, 4)]
    return levels[0] if len(set(levels)) == 1 else " ".join(levels)


FILL = {
    ink: f"{(c := _components(hex_))} {'g' if ' ' not in c else 'rg'}"
    for ink, hex_ in _COLOURS.items()
}
STROKE = {ink: operator.upper() for ink, operator in FILL.items()}
