"""How a set of cores and a decision on a panel are stamped, the same wherever drawn."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.utils.dateformat import format as dated
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from crews.domain.strength_set import Due
from crews.domain.trade_words import DecisionOutcome, PanelKind, RatingDecision
from crews.queries.panels import CORED, PanelRow, SetRow
from project.charts.stamps import STAMPS, Stamp, strength_stamp


@dataclass(frozen=True, slots=True)
class Shown:
    """A stamp and the words in it; without words it wears its own."""

    stamp: Stamp
    words: str = ""


def set_shown(one: SetRow, *, on: date) -> Shown:
    """Return the stamp of a set; one that waits says when it is due or how late it is."""
    if one.due is None:
        return Shown(strength_stamp(one.verdict.state))
    day = dated(one.due_on, "j M")
    if one.due is Due.NOT_DUE:
        return Shown(STAMPS["not due"], _("due %(day)s") % {"day": day})
    if one.due is Due.TODAY:
        return Shown(STAMPS["not due"], _("due today"))
    late = (on - one.due_on).days
    if one.due is Due.AWAITED:
        said = ngettext("%(n)s day past due", "%(n)s days past due", late)
        return Shown(STAMPS["no data"], said % {"n": late})
    said = ngettext("%(n)s day late", "%(n)s days late", late)
    return Shown(STAMPS["late"], said % {"n": late})


def decision_shown(outcome: str) -> Shown:
    """Return the stamp of a decision on a panel."""
    if outcome == DecisionOutcome.REJECTED:
        return Shown(STAMPS["not accepted"])
    if outcome == DecisionOutcome.ACCEPTED_UNDER_SUPERVISION:
        return Shown(STAMPS["pass if"], _("accepted if supervised"))
    if outcome == DecisionOutcome.SUBSTITUTE_ACCEPTED:
        return Shown(STAMPS["accepted"], _("accepted in its place"))
    return Shown(STAMPS["accepted"])


def rating_shown(decision: str) -> Shown:
    """Return the stamp of a visual rating; it is a word, never a grade."""
    if decision == RatingDecision.ACCEPTABLE:
        return Shown(STAMPS["accepted"], _("acceptable"))
    if decision == RatingDecision.NOT_ACCEPTABLE:
        return Shown(STAMPS["not accepted"], _("not acceptable"))
    return Shown(STAMPS["open"], _("more cores wanted"))


def panel_shown(panel: PanelRow, *, on: date) -> Shown:
    """Return the stamp of a panel: its deciding set, or what was decided of it."""
    if panel.kind in CORED and panel.decisive is not None:
        return set_shown(panel.decisive, on=on)
    if panel.judgement is not None:
        return decision_shown(panel.judgement.decision)
    if panel.kind is PanelKind.PRECONSTRUCTION_MATERIAL and panel.decisive:
        return set_shown(panel.decisive, on=on)
    return Shown(STAMPS["open"], _("not judged yet"))
