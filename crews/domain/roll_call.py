"""The roll call of a shift: who had the nozzle, who stood beside it, and when nobody did.

The nozzle, the blowpipe where the bars are close, and the supervisor of an operator
who may not shoot alone are asked minute by minute; everybody else once a shift.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime

from crews.domain.trade_words import PresenceRole
from project.domain.gaps import Gap, gaps
from project.domain.shooting_words import Process
from project.domain.verdict import Known, Reason, Ref, Source, State, worst

BLOWPIPE_SOURCE = Source("a blowpipe where bars are close", known=Known.PRACTICE)
SUPERVISOR_SOURCE = Source(
    "one who may not shoot alone is watched the whole time", known=Known.PRACTICE
)

# Who is named once a shift, in the order of a roster.
ONCE_A_SHIFT = (
    PresenceRole.FOREMAN,
    PresenceRole.FINISHER,
    PresenceRole.GUN,
    PresenceRole.PUMP,
    PresenceRole.HOSE,
    PresenceRole.INSPECTOR,
)

# Which machine carries the material to the nozzle.
MACHINE = {Process.DRY: PresenceRole.GUN, Process.WET: PresenceRole.PUMP}


@dataclass(frozen=True, slots=True, kw_only=True)
class Post:
    """Somebody at a post of a shift; no part: at whatever part is shot.

    Source: project's choice.

    >>> from datetime import UTC
    >>> seven = datetime(2026, 8, 18, 7, tzinfo=UTC)
    >>> Post(role=PresenceRole.BLOWPIPE, name="a", start=seven, part="W2").at("R1")
    False
    """

    role: PresenceRole
    name: str
    start: datetime
    stop: datetime | None = None
    part: str = ""
    ref: Ref | None = None

    def at(self, part: str) -> bool:
        """Say whether the post was at a part. Source: project's choice."""
        return self.part in ("", part)


@dataclass(frozen=True, slots=True, kw_only=True)
class OnNozzle:
    """One nozzle time as the roll call asks about it.

    `close_bars` is `FAIL` where the bars of the part lie closer than the code lets
    stand without a mock-up, `PASS` where they do not, else undecided; `because` says
    which. `watched`: the record lets the operator shoot only under supervision.
    Source: project's choice; bars as `clearance.mockup_needed` judges them.

    >>> from datetime import UTC
    >>> OnNozzle(operator="OP-02", name="b", part="W2", placement="PL-011",
    ...     start=datetime(2026, 8, 18, 7, tzinfo=UTC), stop=None,
    ...     close_bars=State.PASS).watched
    False
    """

    operator: str
    name: str
    part: str
    placement: str
    start: datetime
    stop: datetime | None
    close_bars: State
    because: str = ""
    watched: bool = False
    ref: Ref | None = None


@dataclass(frozen=True, slots=True)
class Called:
    """One nozzle time with who stood beside it, and each gap with its reason.

    Source: the reasons' own.

    >>> from datetime import UTC
    >>> held = OnNozzle(operator="OP-02", name="b", part="W2", placement="PL-011",
    ...     start=datetime(2026, 8, 18, 7, tzinfo=UTC), stop=None,
    ...     close_bars=State.PASS)
    >>> Called(held, (), (), (), ()).state
    <State.INFORMATION: 'information'>
    """

    time: OnNozzle
    blowpipe: tuple[Post, ...]
    supervisor: tuple[Post, ...]
    reasons: tuple[Reason, ...]
    missing: tuple[tuple[PresenceRole, Gap], ...]

    @property
    def state(self) -> State:
        """The worst of what was asked; nothing asked is information."""
        return worst(self.reasons) if self.reasons else State.INFORMATION


def call_nozzle(time: OnNozzle, posts: Sequence[Post], *, until: datetime) -> Called:
    """Say who stood beside a nozzle time, and which minutes nobody did.

    Parameters
    ----------
    time
        From take to leave; one that is still held is asked up to `until`.
    posts
        Of its shift; a post without an end lasts.
    until
        The instant the page is read for, with a zone.

    Raises ValueError for an instant without a zone. Source: a blowpipe beside close
    bars and an unbroken watch are common practice, no source.

    >>> from datetime import UTC
    >>> at = lambda h, m=0: datetime(2026, 8, 18, h, m, tzinfo=UTC)
    >>> held = OnNozzle(operator="OP-02", name="b", part="W2", placement="PL-011",
    ...     start=at(7), stop=at(13), close_bars=State.FAIL, because="clear 5.00 in")
    >>> pipe = [Post(role=PresenceRole.BLOWPIPE, name="c", start=at(6), stop=at(10, 30)),
    ...         Post(role=PresenceRole.BLOWPIPE, name="c", start=at(11, 20), stop=at(14))]
    >>> called = call_nozzle(held, pipe, until=at(15))
    >>> called.state, [(str(role), gap.minutes) for role, gap in called.missing]
    (<State.FAIL: 'fail'>, [('blowpipe', 50)])
    """
    stop = min(time.stop or until, until)
    beside = [post for post in posts if post.at(time.part) and _meets(post, time, stop)]
    asked = [(PresenceRole.BLOWPIPE, time.close_bars)]
    if time.watched:
        asked.append((PresenceRole.SUPERVISOR, State.FAIL))
    reasons: list[Reason] = []
    missing: list[tuple[PresenceRole, Gap]] = []
    for role, needed in asked:
        if needed is State.PASS:
            continue
        there = [post for post in beside if post.role is role]
        open_ = gaps(time.start, stop, covers=[(p.start, p.stop) for p in there])
        reasons.append(_reason(role, needed, time, there, open_))
        if needed is State.FAIL:
            missing.extend((role, gap) for gap in open_)
    return Called(
        time,
        blowpipe=tuple(p for p in beside if p.role is PresenceRole.BLOWPIPE),
        supervisor=tuple(p for p in beside if p.role is PresenceRole.SUPERVISOR),
        reasons=tuple(reasons),
        missing=tuple(missing),
    )


def _meets(post: Post, time: OnNozzle, stop: datetime) -> bool:
    return post.start < stop and (post.stop is None or post.stop > time.start)


def _reason(
    role: PresenceRole,
    needed: State,
    time: OnNozzle,
    there: Sequence[Post],
    open_: Sequence[Gap],
) -> Reason:
    minutes = sum(gap.minutes for gap in open_)
    who = ", ".join(dict.fromkeys(post.name for post in there)) or "nobody"
    if not open_:
        state, found = State.PASS, f"{who}, the whole time"
    else:
        state = State.FAIL if needed is State.FAIL else State.UNDECIDED
        found = f"{who}; {minutes} min with no {role}"
    blowpipe = role is PresenceRole.BLOWPIPE
    because = f": {time.because}" if blowpipe and time.because else ""
    asked = "is asked for" if needed is State.FAIL else "may be asked for"
    return Reason(
        key=role.value,
        requirement=f"a {role} {asked} beside {time.operator} on {time.part}{because}",
        state=state,
        found=found,
        source=BLOWPIPE_SOURCE if blowpipe else SUPERVISOR_SOURCE,
        evidence=tuple(post.ref for post in there if post.ref is not None),
    )


@dataclass(frozen=True, slots=True)
class RosterLine:
    """Who held one post in the shift; nobody noted is told so.

    Source: project's choice.

    >>> RosterLine(PresenceRole.PUMP, ()).posts
    ()
    """

    role: PresenceRole
    posts: tuple[Post, ...]


def once_a_shift(
    posts: Sequence[Post], *, processes: Collection[Process] = ()
) -> tuple[RosterLine, ...]:
    """Return the posts that are named once a shift, in the order of a roster.

    Parameters
    ----------
    posts
        Of the shift.
    processes
        By which it shot: a gun is called only in dry-mix work, a pump in wet-mix, and
        both where nothing is placed yet. Whoever was noted is named all the same.

    Source: which posts there are is common practice, no source. Raises nothing.

    >>> [line.role.value for line in once_a_shift((), processes=[Process.WET])]
    ['foreman', 'finisher', 'pump', 'hose', 'inspector']
    """
    idle = {m for p, m in MACHINE.items() if processes and p not in processes}
    lines = (
        RosterLine(role, tuple(post for post in posts if post.role is role))
        for role in ONCE_A_SHIFT
    )
    return tuple(line for line in lines if line.posts or line.role not in idle)
