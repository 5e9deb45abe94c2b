"""What a part, a mix and a rig ask of whoever shoots."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date, datetime
from decimal import Decimal

from crews.domain.clearance import mockup_needed
from crews.domain.surface import Surface, surface
from crews.domain.trade_words import Method
from crews.domain.waivers import Waiver
from project.domain.clocks import FactVersion
from project.domain.reinforcement import Reinforcement
from project.domain.shooting_words import Position, Process
from project.domain.term_kinds import NO_PARTS, TAKES_BACK, UNLESS_UNCHANGED
from project.domain.terms import Terms
from project.domain.units import Quantity, convert
from project.domain.verdict import Ref, Source, State

NO_PART = Ref("partrevision", "", "")


@dataclass(frozen=True, slots=True)
class RevisionMark:
    """The engineer's mark on a mix revision: whether it changed how the mix places.

    No answer is a state of its own: not yet marked.
    """

    revision: int
    placing_properties_changed: bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class MixOnRecord:
    """A mix revision as the gates need it, with the marks of its sister revisions.

    `aggregate` is its largest; two rules for the gap of laps ask it.
    """

    ref: Ref
    code: str
    revision: int
    process: Process
    approved_on: date | None
    withdrawn_on: date | None = None
    aggregate: Quantity | None = None
    marks: tuple[RevisionMark, ...] = ()

    def __str__(self) -> str:
        return f"{self.code} rev {self.revision}"


@dataclass(frozen=True, slots=True, kw_only=True)
class RigEquivalence(FactVersion):
    """Two rigs of which the engineer accepted that a mock-up on one covers the other.

    `rigs` are their two identities. A pair says nothing of a third rig.
    """

    rigs: frozenset[str]
    accepted_at: datetime
    accepted_by: str = ""


@dataclass(frozen=True, slots=True)
class Asked:
    """What asks for another mock-up by the contract; as it stands, the project's choice."""

    mix_revision: str = UNLESS_UNCHANGED
    rig: bool = True
    position: bool = True
    harder: bool = True
    rating: bool = True
    lapse: bool = False
    withdrawal: str = TAKES_BACK

    @classmethod
    def by(cls, terms: Terms) -> Asked:
        """Return it as terms say; what they leave open is the project's choice."""
        flags = ("rig", "position", "harder", "rating", "lapse")
        said = {name: terms.flag(f"requalify_{name}") for name in flags}
        given = {name: value for name, value in said.items() if value is not None}
        return cls(
            mix_revision=terms.choice("requalify_mix_revision") or UNLESS_UNCHANGED,
            withdrawal=terms.choice("requalify_withdrawal") or TAKES_BACK,
            **given,
        )


@dataclass(frozen=True, slots=True)
class IdleLimit:
    """How long an operator may not have shot; as it stands, no limit is given.

    Source: the contract, no published number of days was found; counted by process
    where it does not say.

    >>> IdleLimit.by(None)
    IdleLimit(days=None, per_process=True)
    """

    # Whole ones [d]: part of a day beyond them is no day more.
    days: int | None = None
    per_process: bool = True

    @classmethod
    def by(cls, terms: Terms | None) -> IdleLimit:
        """Return it as terms say. Raises ValueError for a limit that is no time."""
        if terms is None:
            return cls()
        limit = terms.quantity("idle_limit")
        return cls(
            days=None if limit is None else int(convert(limit, to="d").value),
            per_process=terms.flag("idle_per_process") is not False,
        )

    def counts(self, process: Process) -> Process | None:
        """Return the process whose shooting counts; nothing: of every one alike."""
        return process if self.per_process else None

    def words(self, process: Process) -> str:
        """Return what counts, in words."""
        return f"{process} work" if self.per_process else "work"


@dataclass(frozen=True, slots=True)
class Hardness:
    """What makes work hard to encase: its bars and its thickness.

    The same only where it was typed to the letter alike: what says lengths as typed may
    be kept for these, and not for equal ones. Source: project's choice.

    >>> Hardness.of(None, None) == Hardness.of(None, Quantity(Decimal(8), "in"))
    False
    """

    typed: str
    bars: Reinforcement | None = field(compare=False)
    thickness: Quantity | None = field(compare=False)

    @classmethod
    def of(cls, bars: Reinforcement | None, thickness: Quantity | None) -> Hardness:
        """Return bars and thickness told apart by what was typed."""
        return cls(f"{thickness} {'' if bars is None else bars.typed}", bars, thickness)


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """What is asked of an operator for one part with one mix.

    No rig: the question is asked before a rig is named, as in the matrix of
    operators and parts. `mock_up_by_contract` is who asks for a mock-up beside
    the code; empty, the contract does not. `printed_day_valid`: a card is good
    through its printed day. Reinforcement or thickness that is
    not given leaves the mock-up gate undecided, never passed.
    """

    part: Ref
    position: Position
    angle: Decimal | None = None
    method: Method
    mix: MixOnRecord
    rig: Ref | None = None
    rig_equivalences: tuple[RigEquivalence, ...] = ()
    reinforcement: Reinforcement | None = None
    thickness: Quantity | None = None
    trainee_allowed: bool = False
    printed_day_valid: bool = True
    mock_up_class: str = ""
    mock_up_by_contract: Source | None = None
    asked: Asked = Asked()
    idle: IdleLimit = IdleLimit()
    # What a sloped face counts as by the contract's table, once under its terms.
    surface: Surface | None = None
    # The terms it is under: asked again under the same ones nothing changes.
    terms: Terms | None = field(default=None, repr=False, compare=False)
    # Those that reach this part, mix and rig, for whichever operator.
    waivers: tuple[Waiver, ...] = ()
    # Worked out when first asked for, and once: every operator is asked the same.
    _code: tuple[State, str] | None = field(
        init=False, default=None, repr=False, compare=False
    )
    _work: Demand | None = field(init=False, default=None, repr=False, compare=False)
    _under: Demand | None = field(init=False, default=None, repr=False, compare=False)
    _hard: Hardness | None = field(init=False, default=None, repr=False, compare=False)

    @property
    def work(self) -> Demand:
        """The demand without its part and what only a mock-up must show.

        Nothing but the mock-up gate looks at bars and thickness: demands of the same
        work are answered alike by every other.
        """
        work = self._work
        if work is None:
            work = replace(
                self,
                part=NO_PART,
                reinforcement=None,
                thickness=None,
                mock_up_class="",
                mock_up_by_contract=None,
            )
            object.__setattr__(self, "_work", work)
        return work

    @property
    def hardness(self) -> Hardness:
        """What a mock-up must show beside the work: bars as hard, and as thick."""
        hard = self._hard
        if hard is None:
            hard = Hardness.of(self.reinforcement, self.thickness)
            object.__setattr__(self, "_hard", hard)
        return hard

    @property
    def process(self) -> Process:
        """The process is the mix's."""
        return self.mix.process

    def under(self, terms: Terms | None) -> Demand:
        """Return the demand as the contract's terms leave it."""
        if terms is None or terms is self.terms:
            return self
        under = self._under
        if under is None or under.terms is not terms:
            under = self._as_left_by(terms)
            object.__setattr__(self, "_under", under)
        return under

    def _as_left_by(self, terms: Terms) -> Demand:
        printed = terms.flag("card_last_day_inclusive") is not False
        trainee = self.trainee_allowed and terms.choice("trainee_parts") != NO_PARTS
        lies = surface(self.position, angle=self.angle, terms=terms)
        return replace(
            self,
            printed_day_valid=printed,
            trainee_allowed=trainee,
            surface=lies,
            asked=Asked.by(terms),
            idle=IdleLimit.by(terms),
            terms=terms,
        )

    def mock_up_asked(self, terms: Terms | None) -> tuple[State, str]:
        """Return whether a mock-up is asked for (`FAIL`: it is) and by whom."""
        if terms is not self.terms:
            return self._asked_by(terms)
        code = self._code
        if code is None:
            code = self._asked_by(terms)
            object.__setattr__(self, "_code", code)
        return code

    def _asked_by(self, terms: Terms | None) -> tuple[State, str]:
        code = mockup_needed(
            self.reinforcement, terms=terms, aggregate=self.mix.aggregate
        )
        who = []
        if self.mock_up_by_contract is not None:
            name = f" (class {self.mock_up_class})" if self.mock_up_class else ""
            who.append(f"{self.mock_up_by_contract.document}{name}")
        # One line for each kind of limit; other mats say the same of their own gaps.
        asking = {reason.key: reason for reason in reversed(code.failed)}
        who += [f"{r.source} because of {r.found}" for r in reversed(asking.values())]
        if self.mock_up_by_contract is not None or code.state is State.FAIL:
            words = "an accepted mock-up of the operator's own, asked by "
            return State.FAIL, words + "; ".join(who)
        if code.state is State.PASS:
            words = "none: neither the contract nor the code asks for a mock-up"
            return State.PASS, words
        open_ones = "; ".join(r.found for r in code.unmet)
        return State.UNDECIDED, f"a mock-up may be asked for: {open_ones}"

    def lies_in(self, position: Position | None) -> bool:
        """Say whether what was said of a position reaches here; none says all.

        A face whose position is not settled may be meant by any. Source: project's
        choice.
        """
        settled = self.card_position in (Position.VERTICAL, Position.OVERHEAD)
        reached = (None, self.position, self.card_position)
        return position in reached or not settled

    @property
    def card_position(self) -> Position:
        """The position a card must open; as drawn where no table says another."""
        lies = self.surface
        return self.position if lies is None or lies.card is None else lies.card

    @property
    def mock_up_position(self) -> Position | None:
        """The position a mock-up must have been shot in; nothing: not settled."""
        if self.position is Position.UNCLASSIFIED:
            return None
        if self.position in (Position.SLOPED, Position.HORIZONTAL):
            return None if self.surface is None else self.surface.mock_up
        return self.position

    @property
    def lies(self) -> str:
        """How the face lies, in words."""
        if self.angle is None:
            return self.position.value
        return f"{self.position} at {self.angle.normalize():f} deg"
