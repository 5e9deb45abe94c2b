"""Words of the trade as pages and choices say them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext_lazy as _

from inspections.domain.catalogue import AnswerState, RoundKind, Severity

ROUND_KINDS: Mapping[str, Any] = {
    RoundKind.ELEMENT: _("Before shooting"),
    RoundKind.SHIFT: _("Start of the shift"),
    RoundKind.LOAD: _("Each load"),
    RoundKind.LAYER: _("Before a layer"),
    RoundKind.ROUND: _("While shooting"),
    RoundKind.FINISH: _("Finishing and curing"),
    RoundKind.VISIT: _("Curing visit"),
    RoundKind.HARDENED: _("After hardening"),
}
# When to walk each kind, under its name.
ROUND_WHEN: Mapping[str, Any] = {
    RoundKind.ELEMENT: _("once for each part or lift"),
    RoundKind.SHIFT: _("and after any change of plant; panels before the shift ends"),
    RoundKind.LOAD: _("each truck, or each lot of bags"),
    RoundKind.LAYER: _("the first included, and at every stop or restart"),
    RoundKind.ROUND: _("at the contract's interval and with each new operator"),
    RoundKind.FINISH: _("once, after the last layer"),
    RoundKind.VISIT: _("until the curing ends"),
    RoundKind.HARDENED: _("once, before the part is accepted or covered"),
}
ANSWERS: Mapping[str, Any] = {
    AnswerState.RIGHT: _("Right"),
    AnswerState.DEFICIENT: _("Deficient"),
    AnswerState.DOES_NOT_APPLY: _("Does not apply"),
    AnswerState.NOT_LOOKED_AT: _("Not looked at"),
}
SEVERITIES: Mapping[str, Any] = {
    Severity.ADVISORY: _("tell and watch"),
    Severity.CORRECT_NOW: _("correct now"),
    Severity.STOP_WORK: _("stop work"),
}
# The moves of deficiencies and nonconformance reports as a button says them.
MOVES: Mapping[str, Any] = {
    "correct": _("Record a correction"),
    "find right": _("Find it right"),
    "find still wrong": _("Find it still wrong"),
    "notify": _("Record who was told"),
    "make a nonconformance": _("Raise a nonconformance report"),
    "close": _("Close the report"),
}
# The same moves once they were made.
MOVED: Mapping[str, Any] = {
    "correct": _("corrected"),
    "find right": _("found right"),
    "find still wrong": _("found still wrong"),
    "notify": _("told"),
    "make a nonconformance": _("became a nonconformance report"),
    "close": _("closed"),
}
MEANINGS = (
    _("I was present and recorded what I saw"),
    _("I wrote this from the notes of those who were present"),
)
REVIEW_MEANING = _("reviewed; another person wrote it")
MEANS = (_("in person"), _("telephone"), _("e-mail"), _("letter"))
