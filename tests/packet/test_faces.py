"""Which font sets a text, how wide it is, and where its lines break."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reportlab.pdfbase import pdfmetrics

from inspections.packet.faces import BOLD, LABEL, TEXT, fit, shorten, width, wrap


@pytest.mark.parametrize(
    ("text", "font"),
    [
        ("PL-007, 25.9 yd³", "AtkinsonHyperlegibleNext-Regular"),
        ("Łukasz Dvořák", "AtkinsonHyperlegibleNext-Regular"),
        ("Nguyễn Thị Phượng", "DejaVuSansCondensed"),
        ("Ευάγγελος", "DejaVuSansCondensed"),
    ],
)
def test_a_whole_name_goes_to_one_font(text: str, font: str) -> None:
    run = fit(text, TEXT)
    assert (run.font, run.text, run.missing) == (font, text, frozenset())


def test_a_label_is_set_in_capitals() -> None:
    assert fit("Neat, yd³", LABEL).text == "NEAT, YD³"


def test_a_letter_nobody_has_is_spelled_as_its_code() -> None:
    run = fit("山 wall", BOLD)
    assert run.text == "[U+5C71] wall"
    assert run.missing == {"山"}


def test_line_ends_and_control_characters_do_not_reach_the_page() -> None:
    assert fit("a\tb\x00c", TEXT).text == "a b c"


@given(st.text(alphabet="abcXYZ019-., ", min_size=1, max_size=40))
def test_the_width_is_the_library_s(text: str) -> None:
    """reportlab's own measure is the second opinion."""
    run = fit(text, TEXT)
    theirs = pdfmetrics.stringWidth(run.text, run.font, 9.5)
    assert width(text, TEXT, 9.5) == pytest.approx(theirs, abs=1e-6)


@given(
    st.lists(st.text(alphabet="abcdeXYZ0-", min_size=1, max_size=30), max_size=30),
    st.floats(min_value=20, max_value=300),
)
def test_wrapped_lines_fit_and_lose_no_letter(words: list[str], room: float) -> None:
    text = " ".join(words)
    lines = wrap(text, TEXT, 9.5, room)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    for line in lines:
        assert width(line, TEXT, 9.5) <= room + 0.01


def test_a_code_never_breaks_at_its_hyphen() -> None:
    room = width("mix W-45A", TEXT, 9.5) - 1
    assert wrap("mix W-45A", TEXT, 9.5, room) == ("mix", "W-45A")


def test_a_unit_stays_with_its_number() -> None:
    text = "shot 12.9\N{NO-BREAK SPACE}yd³"
    room = width("shot 12.9", TEXT, 9.5) + 1
    assert wrap(text, TEXT, 9.5, room) == ("shot", "12.9\N{NO-BREAK SPACE}yd³")


def test_a_shortened_text_ends_with_an_ellipsis_and_fits() -> None:
    room = width("Reservoir wall", TEXT, 9)
    short = shorten("Reservoir wall bay 3, lower lift", TEXT, 9, room)
    assert short.endswith("…")
    assert width(short, TEXT, 9) <= room
    assert shorten("Bay", TEXT, 9, room) == "Bay"
