"""A panel and the loads of its shift: one that comes from none of them is flagged.

It may be shot before, between or after the work, and it still meets what is owed; that
it cannot be of the shift's concrete is said, and explained before review.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from inspections.domain.delivery import LoadFacts
from inspections.domain.flags import Flag
from project.domain.clocks import elapsed, elapsed_minutes
from project.domain.verdict import Ref

KEY = "panel from no load"


def panel_flags(
    panel: Ref, *, shot_from: datetime, of_mix: Sequence[LoadFacts], others: bool
) -> tuple[Flag, ...]:
    """Return a flag where a panel cannot come from a load of its shift.

    Parameters
    ----------
    panel
        The panel.
    shot_from
        When its shooting began, with its zone.
    of_mix
        The shift's accepted loads of its mix.
    others
        Whether the shift has loads of other mixes on record.

    The panel has to be begun between the first shot of the earliest load and the last
    shot of the latest, whatever their order. Nothing is said while no load of the
    shift is on record, or while a load has no first or no last shot. Raises nothing.
    Source: project's choice.

    >>> from datetime import UTC
    >>> early = datetime(2026, 8, 13, 6, tzinfo=UTC)
    >>> panel = Ref("panel", "1", "TP-009")
    >>> panel_flags(panel, shot_from=early, of_mix=(), others=True)[0].words
    'TP-009: the shift has loads, and none of its mix'
    >>> panel_flags(panel, shot_from=early, of_mix=(), others=False)
    ()
    """
    if not of_mix:
        words = f"{panel.name}: the shift has loads, and none of its mix"
        return (Flag(KEY, words, (panel,)),) if others else ()
    begun = [load.first_shot_at for load in of_mix if load.first_shot_at is not None]
    ended = [load.last_shot_at for load in of_mix if load.last_shot_at is not None]
    if len(begun) < len(of_mix) or len(ended) < len(of_mix):
        return ()
    for one, two, words in (
        (shot_from, min(begun), "before the first load of its mix"),
        (max(ended), shot_from, "after the last load of its mix"),
    ):
        if elapsed(one, two) > timedelta():
            minutes = elapsed_minutes(one, two)
            text = f"{panel.name}: shot {minutes} min {words} in its shift"
            return (Flag(KEY, text, (panel,)),)
    return ()
