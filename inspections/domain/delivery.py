"""Loads: when a truck or a bag was batched, came and was shot, and what contradicts.

Nothing here refuses a load; how old it may be is judged in `load_age`.

Source: the contradictions are common practice, no source.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from fractions import Fraction

from inspections.domain.flags import Flag
from project.domain.clocks import elapsed, elapsed_minutes
from project.domain.units import Quantity, si_factor
from project.domain.verdict import Ref


@dataclass(frozen=True, slots=True)
class LoadFacts:
    """One truck load or one bag, as it was written down.

    Instants are aware or absent. `ticket` and `plant` are "" for bags. `accepted` is
    absent while nobody has said. Raises ValueError for an instant without a zone and
    for a volume that is none. Source: common practice, no source.

    >>> bag = LoadFacts(Ref("load", "1", "load 1"), "", "", Quantity(Decimal(4), "yd3"),
    ...                 None, None, None, None, None, None)
    >>> str(bag.volume)
    '4 yd3'
    """

    ref: Ref
    plant: str
    ticket: str
    volume: Quantity | None
    batched_at: datetime | None
    arrived_at: datetime | None
    first_shot_at: datetime | None
    last_shot_at: datetime | None
    returned: Quantity | None
    accepted: bool | None

    def __post_init__(self) -> None:
        for name in ("batched_at", "arrived_at", "first_shot_at", "last_shot_at"):
            instant: datetime | None = getattr(self, name)
            if instant is not None and instant.tzinfo is None:
                raise ValueError(f"{name} {instant}: a zone is needed")
        for name in ("volume", "returned"):
            amount: Quantity | None = getattr(self, name)
            if amount is not None and amount.dimension != "volume":
                raise ValueError(f"{name} {amount}: a volume is needed")


def load_flags(load: LoadFacts) -> tuple[Flag, ...]:
    """Return what contradicts within one load, each named with its times.

    Parameters
    ----------
    load
        Its instants, and its volumes [volume].

    Source: common practice, no source.

    >>> more = LoadFacts(Ref("load", "1", "load 1"), "", "", Quantity(Decimal(4), "yd3"),
    ...                  None, None, None, None, Quantity(Decimal(5), "yd3"), None)
    >>> [flag.key for flag in load_flags(more)]
    ['more returned than delivered']
    """
    return tuple(
        Flag(key, words, (load.ref,)) for key, words in _own_contradictions(load)
    )


# (earlier, later): the earlier may not come after the later. The words are the key's.
_ORDER = (
    ("batched_at", "arrived_at", "arrived before it was batched"),
    ("batched_at", "first_shot_at", "shot before it was batched"),
    ("batched_at", "last_shot_at", "shot before it was batched"),
    ("arrived_at", "first_shot_at", "shot before it arrived"),
    ("arrived_at", "last_shot_at", "shot before it arrived"),
    ("first_shot_at", "last_shot_at", "last shot before it was first shot"),
)
_NAMES = {
    "batched_at": "batched",
    "arrived_at": "arrived",
    "first_shot_at": "first shot",
    "last_shot_at": "last shot",
}


def _own_contradictions(load: LoadFacts) -> Iterable[tuple[str, str]]:
    said: set[str] = set()
    for earlier, later, key in _ORDER:
        one: datetime | None = getattr(load, earlier)
        two: datetime | None = getattr(load, later)
        if one is None or two is None or key in said:
            continue
        # In UTC: two instants of one zone would be compared by their walls.
        if elapsed(one, two) >= timedelta():
            continue
        said.add(key)
        minutes = -elapsed_minutes(one, two)
        yield (
            key,
            f"{load.ref.name}: {_NAMES[later]} {minutes} min before {_NAMES[earlier]}",
        )
    if load.accepted is False and load.last_shot_at is not None:
        yield "refused, yet shot", f"{load.ref.name}: refused, yet a last shot is given"
    if load.volume is None or load.returned is None:
        return
    if _cubic_metres(load.returned) > _cubic_metres(load.volume):
        words = f"{load.ref.name}: {load.returned} returned of {load.volume}"
        yield "more returned than delivered", words


def ticket_flags(loads: Sequence[LoadFacts]) -> tuple[Flag, ...]:
    """Return a flag for each ticket of one plant that more than one load carries.

    Blanks and letter case around a number do not make another ticket. Loads without
    a ticket (bags) are left alone. Source: common practice, no source.

    >>> ticket_flags([])
    ()
    """
    same: dict[tuple[str, str], list[LoadFacts]] = defaultdict(list)
    for load in loads:
        if load.ticket.strip():
            same[(_plain(load.plant), _plain(load.ticket))].append(load)
    return tuple(
        Flag(
            "second ticket of the same number",
            f"ticket {group[0].ticket.strip()} stands on {len(group)} loads: "
            + ", ".join(load.ref.name for load in group),
            tuple(load.ref for load in group),
        )
        for group in same.values()
        if len(group) > 1
    )


def volume_flags(
    placement: Ref, *, placed: Sequence[Quantity], loads: Sequence[LoadFacts]
) -> tuple[Flag, ...]:
    """Return a flag where the volumes placed go beyond what the loads brought.

    Parameters
    ----------
    placement
        What was placed, as evidence.
    placed
        The volumes of its nozzle times [volume].
    loads
        Those it was shot from [volume]; one that was refused brings nothing, and what
        was returned is taken off.

    Without any load there is nothing to compare, and no flag. Source: common practice,
    no source.

    >>> volume_flags(Ref("placement", "1", "PL-003"), placed=(), loads=())
    ()
    """
    bringing = [load for load in loads if load.accepted is not False and load.volume]
    if not bringing or not placed:
        return ()
    brought = sum(
        (
            _cubic_metres(load.volume) - _cubic_metres(load.returned)
            for load in bringing
        ),
        Fraction(),
    )
    shot = sum((_cubic_metres(volume) for volume in placed), Fraction())
    if shot <= brought:
        return ()
    unit = placed[0].unit
    words = (
        f"{placement.name}: {_in(shot, unit)} placed, {_in(brought, unit)} delivered"
        f" by {len(bringing)} load{'s' if len(bringing) > 1 else ''}"
    )
    refs = (placement, *(load.ref for load in bringing))
    return (Flag("volume beyond the loads", words, refs),)


def _plain(text: str) -> str:
    return "".join(text.split()).casefold()


def _cubic_metres(volume: Quantity | None) -> Fraction:
    if volume is None:
        return Fraction()
    return Fraction(volume.value) * si_factor(volume.unit)


def _in(cubic_metres: Fraction, unit: str) -> str:
    value = cubic_metres / si_factor(unit)
    return f"{Decimal(round(value * 100)) / 100:.2f} {unit}"
