"""Drawings and icons as inline SVG.

No style attribute: inks are classes (css/drawing.css), so the three themes and the
strict content policy both hold.
"""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.html import escape
from django.utils.safestring import SafeString

from project.charts.drawing import (
    Anchor,
    Circle,
    Dash,
    Drawing,
    Ink,
    Line,
    Polyline,
    Rect,
    Shape,
    Text,
)
from project.charts.icons import icon_shapes


def svg(drawing: Drawing, *, ident: str, css_class: str = "") -> SafeString:
    """Return a drawing's markup; `ident` must be unique on the page."""
    name = escape(ident)
    w, h = _n(drawing.width), _n(drawing.height)
    # Every word has been escaped on the way in, so the whole is safe to print.
    return SafeString(
        f'<svg class="drawing {escape(css_class)}" viewBox="0 0 {w} {h}" width="{w}" '
        f'height="{h}" role="img" focusable="false" '
        f'aria-labelledby="{name}-title" aria-describedby="{name}-desc">'
        f'<title id="{name}-title">{escape(drawing.title)}</title>'
        f'<desc id="{name}-desc">{escape(drawing.description)}</desc>'
        f"{''.join(_shape(shape) for shape in drawing.shapes)}</svg>"
    )


def icon_svg(name: str, *, css_class: str = "") -> SafeString:
    """Return an icon that takes the ink of the words beside it; hidden from readers."""
    extra = f" {escape(css_class)}" if css_class else ""
    return SafeString(
        f'<svg class="icon{extra}" viewBox="0 0 18 18" width="18" height="18" '
        f'aria-hidden="true" focusable="false">{shapes_markup(icon_shapes(name))}</svg>'
    )


def icon_symbols(names: Iterable[str]) -> SafeString:
    """Return icons of which a page has thousands, each drawn once and not yet shown."""
    drawn = "".join(
        f'<symbol id="{_ident(name)}" viewBox="0 0 18 18">'
        f"{shapes_markup(icon_shapes(name))}</symbol>"
        for name in names
    )
    return SafeString(f'<svg class="unseen" aria-hidden="true">{drawn}</svg>')


def icon_again(name: str) -> SafeString:
    """Show an icon that `icon_symbols` drew on the same page."""
    return SafeString(
        '<svg class="icon" aria-hidden="true" focusable="false">'
        f'<use href="#{_ident(name)}"/></svg>'
    )


def _ident(icon: str) -> str:
    return escape(f"icon-{icon}".replace(" ", "-"))


def shapes_markup(shapes: Iterable[Shape]) -> SafeString:
    """Return bare shapes, for a template that writes the svg element itself."""
    return SafeString("".join(_shape(shape) for shape in shapes))


def _n(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _pen(ink: Ink | None, weight: float, dash: Dash, fill: Ink | None) -> str:
    classes = f"s-{ink}" if ink else "s-none"
    classes += f" f-{fill}" if fill else " f-none"
    marks = f' class="{classes}"'
    if ink:
        marks += f' stroke-width="{_n(weight)}"'
    if dash is not Dash.SOLID:
        marks += f' stroke-dasharray="{" ".join(_n(part) for part in dash.value)}"'
    return marks


def _shape(shape: Shape) -> str:
    match shape:
        case Line(x1, y1, x2, y2, ink, weight, dash):
            ends = f'x1="{_n(x1)}" y1="{_n(y1)}" x2="{_n(x2)}" y2="{_n(y2)}"'
            return f"<line {ends}{_pen(ink, weight, dash, None)}/>"
        case Polyline(points, pen, weight, dash, closed, fill):
            kind = "polygon" if closed else "polyline"
            chain = " ".join(f"{_n(x)},{_n(y)}" for x, y in points)
            return f'<{kind} points="{chain}"{_pen(pen, weight, dash, fill)}/>'
        case Rect(x, y, width, height, pen, weight, dash, fill):
            box = f'x="{_n(x)}" y="{_n(y)}" width="{_n(width)}" height="{_n(height)}"'
            return f"<rect {box}{_pen(pen, weight, dash, fill)}/>"
        case Circle(x, y, radius, pen, weight, fill):
            at = f'cx="{_n(x)}" cy="{_n(y)}" r="{_n(radius)}"'
            return f"<circle {at}{_pen(pen, weight, Dash.SOLID, fill)}/>"
        case Text():
            return _text(shape)


def _text(text: Text) -> str:
    classes = f"t f-{text.ink}"
    for wanted, name in (
        (text.bold, "t-bold"),
        (text.label, "t-label"),
        (text.halo, "t-halo"),
    ):
        classes += f" {name}" if wanted else ""
    x, y = _n(text.x), _n(text.y)
    anchor = "" if text.anchor is Anchor.START else f' text-anchor="{text.anchor}"'
    turn = f' transform="rotate(-90 {x} {y})"' if text.turned else ""
    return (
        f'<text class="{classes}" x="{x}" y="{y}" font-size="{_n(text.size)}"'
        f"{anchor}{turn}>{escape(text.words)}</text>"
    )
