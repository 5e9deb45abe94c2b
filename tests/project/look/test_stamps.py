"""Stamps can be told apart without colour, on the page and in the packet."""

from __future__ import annotations

import pytest
from django.template import Context, Template

from project.charts.drawing import Ink, Rect, Text
from project.charts.icons import BOX, ICONS
from project.charts.stamps import (
    STAMPS,
    Frame,
    eligibility_stamp,
    frame_shapes,
    gate_icon,
    stamp_shapes,
    strength_stamp,
)
from project.domain.verdict import State


def draw(text: str, **context: object) -> str:
    return Template("{% load look %}" + text).render(Context(context))


def test_only_a_pass_is_stamped_in_order():
    settled = [state for state in State if strength_stamp(state).frame is Frame.SOLID]
    assert settled == [State.PASS]
    assert [s for s in State if eligibility_stamp(s).name == "qualified"] == [
        State.PASS
    ]


def test_every_unknown_leaves_an_operator_undecided():
    answers = {state: eligibility_stamp(state).name for state in State}
    answered = {
        State.PASS: "qualified",
        State.CONDITION: "qualified if",
        State.FAIL: "not qualified",
    }
    assert answers == {state: answered.get(state, "undecided") for state in State}


def test_every_state_has_a_stamp_and_an_icon_of_its_own_meaning():
    for state in State:
        assert strength_stamp(state).icon in ICONS
        assert gate_icon(state) in ICONS
    refusing = [s for s in State if strength_stamp(s).frame is Frame.FILLED]
    assert refusing == [State.FAIL]


def test_no_two_stamps_share_word_or_name():
    words = [stamp.word for stamp in STAMPS.values()]
    assert len(set(words)) == len(words)


def test_in_the_small_form_the_answers_of_the_matrix_differ_without_colour():
    shown = [
        STAMPS[n] for n in ("qualified", "qualified if", "not qualified", "undecided")
    ]
    assert len({stamp.frame for stamp in shown}) == 4
    assert len({stamp.icon for stamp in shown}) == 4


def test_oxide_is_spent_on_refusal_and_on_what_is_owed_alone():
    oxide = {s.frame for s in STAMPS.values() if s.ink is Ink.OXIDE}
    assert oxide == {Frame.FILLED, Frame.BARS}


def test_frames_differ_as_shapes():
    drawn = {frame: frame_shapes(frame, width=120, height=32) for frame in Frame}
    assert len(set(drawn.values())) == len(Frame)


def test_icons_stay_in_their_box():
    for name, shapes in ICONS.items():
        for shape in shapes:
            for slot in ("x", "y", "x1", "y1", "x2", "y2"):
                value = getattr(shape, slot, 9)
                assert 0 <= value <= BOX, name
            for x, y in getattr(shape, "points", ()):
                assert 0 <= x <= BOX, name
                assert 0 <= y <= BOX, name


def test_packet_stamp_is_as_wide_as_its_words_ask():
    shapes, width, height = stamp_shapes(STAMPS["fail"], word_width=40)
    assert (width, height) == (10 + 18 + 6 + 40 + 10, 32)
    block, *_, word = shapes
    assert block == Rect(0, 0, 84, 32, ink=None, fill=Ink.OXIDE)
    assert isinstance(word, Text)
    assert (word.words, word.ink) == ("FAIL", Ink.ON_OXIDE)


def test_packet_stamp_carries_the_number_that_matters():
    shapes, *_ = stamp_shapes(STAMPS["late"], word_width=40, words="14 days late")
    assert shapes[-1].words == "14 DAYS LATE"


def test_tag_draws_icon_frame_and_word():
    html = draw('{% stamp "late" "14 days late" %}')
    assert 'class="stamp stamp-bars"' in html
    assert ">14 days late<" in html
    assert "<svg" in html


def test_small_stamp_keeps_its_word_for_those_who_do_not_see_it():
    html = draw('{% stamp kind "" "small" %}', kind=STAMPS["not qualified"])
    assert 'role="img" aria-label="not qualified"' in html
    assert "stamp-word" not in html


def test_words_in_a_stamp_are_escaped():
    assert "<b>" not in draw('{% stamp "open" words %}', words="<b>")


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ('{% stamp "fine" %}', "stamp 'fine': allowed are qualified"),
        ('{% stamp "open" "" "huge" %}', "size 'huge': allowed are small, large"),
        ('{% icon "star" %}', "icon 'star': allowed are tick"),
    ],
)
def test_an_unknown_name_says_which_there_are(text, named):
    with pytest.raises(ValueError, match=named):
        draw(text)
