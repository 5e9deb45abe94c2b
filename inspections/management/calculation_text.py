"""A calculation described for a terminal of eighty columns."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from textwrap import fill

from project.domain.calculation import Calculation, Field
from project.domain.term_kinds import kind_of

WIDTH = 80
_NAMES_AT_MOST = 22


def described_in_text(calculation: Calculation) -> str:
    """Return a calculation's title, inputs, settings, sources and caution as lines."""
    lines = [f"{calculation.name}: {calculation.title}", _indented(calculation.says, 2)]
    inputs = list(_inputs(calculation.fields))
    settings = [(name, _setting(name)) for name in calculation.settings]
    for head, pairs in (("Inputs", inputs), ("Settings", settings)):
        if pairs:
            lines += [f"  {head}", *_aligned(pairs)]
    if calculation.sources:
        lines.append("  Sources")
        lines += [_indented(str(source), 4) for source in calculation.sources]
    if calculation.caution:
        lines += ["  Caution", _indented(calculation.caution, 4)]
    return "\n".join(lines) + "\n"


def _inputs(fields: Iterable[Field], within: str = "") -> Iterator[tuple[str, str]]:
    for field in fields:
        optional = " (may be left out)" if field.optional else ""
        note = f". {field.note}" if field.note else ""
        name = f"{within}{field.name}"
        yield name, f"{field.label}{optional}: {field.allowed}{note}"
        yield from _inputs(field.columns, within=f"{name}.")


def _setting(name: str) -> str:
    kind = kind_of(name)
    return f"{kind.label}: {kind.allowed}"


def _aligned(pairs: list[tuple[str, str]]) -> Iterator[str]:
    """Set names in a column and words beside it; a long name has a line of its own."""
    widest = max(len(name) for name, _ in pairs)
    column = min(widest, _NAMES_AT_MOST) + 6
    for name, words in pairs:
        begin = f"    {name}".ljust(column)
        if len(begin) > column:
            yield begin
            begin = " " * column
        yield fill(
            words,
            WIDTH,
            initial_indent=begin,
            subsequent_indent=" " * column,
            break_on_hyphens=False,
        )


def _indented(words: str, by: int) -> str:
    indent = " " * by
    return fill(words, WIDTH, initial_indent=indent, subsequent_indent=indent)
