"""What is asked of one operator, and what was found of it, each once."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from zoneinfo import ZoneInfo

from crews.domain.activity import Shooting, shooting
from crews.domain.certification import Card, opening
from crews.domain.demand import Demand
from crews.domain.mockup_gate import Shown, shown_by
from crews.domain.operator_file import OperatorFile
from crews.domain.supervision import Watch
from project.domain.clocks import Interval, local_dates
from project.domain.terms import Terms
from project.domain.verdict import Reason


@dataclass(slots=True, eq=False)
class Heard:
    """What was found of one operator over one interval, each once when first asked for.

    Demands of the same work share it: of what is here nothing looks at a part's own
    bars and thickness. Source: project's choice.
    """

    interval: Interval
    # The local ones that the interval touches.
    dates: tuple[date, ...]
    reasons: dict[str, Reason] = field(default_factory=dict)
    opening: tuple[Card, ...] | None = None
    shooting: Shooting | None = None
    shown: Shown | None = None

    @classmethod
    def over(cls, interval: Interval) -> Heard:
        """Return it with nothing found yet. Raises as `local_dates` does."""
        return cls(interval, local_dates(interval))


@dataclass(slots=True, eq=False, kw_only=True)
class Question:
    """What is asked of one operator, each thing found only when it is asked for.

    The demand is under the terms: `question` sees to it. Source: project's choice.
    """

    file: OperatorFile
    demand: Demand
    watch: Watch | None
    terms: Terms | None
    heard: Heard
    # What was found at single instants further on.
    later: dict[datetime, Heard] = field(default_factory=dict)

    @property
    def interval(self) -> Interval:
        """What is asked about."""
        return self.heard.interval

    @property
    def dates(self) -> tuple[date, ...]:
        """The local dates that the interval touches."""
        return self.heard.dates

    def about(self, demand: Demand) -> Question:
        """Return the question about another demand of the same work, under the terms.

        Raises ValueError where the work is another, or somebody stands beside: whoever
        does is judged by the mock-up too.
        """
        if self.watch is not None or demand.work != self.demand.work:
            raise ValueError(f"part {demand.part.name}: not alone, or of other work")
        return Question(
            file=self.file,
            demand=demand,
            watch=None,
            terms=self.terms,
            heard=self.heard,
            later=self.later,
        )

    def at(self, instant: datetime) -> Question:
        """Return the question at one instant."""
        heard = self.later.get(instant)
        if heard is None:
            heard = Heard.over(Interval(instant, None, self.interval.zone))
            self.later[instant] = heard
        return Question(
            file=self.file,
            demand=self.demand,
            watch=self.watch,
            terms=self.terms,
            heard=heard,
            later=self.later,
        )

    def anew(
        self, *, file: OperatorFile | None = None, watch: Watch | None = None
    ) -> Question:
        """Return the question of another operator or under another watch."""
        return Question(
            file=file or self.file,
            demand=self.demand,
            watch=watch or self.watch,
            terms=self.terms,
            heard=Heard(self.interval, self.dates),
        )

    def opening(self) -> tuple[Card, ...]:
        """Return the cards that open the demand on every date."""
        heard = self.heard
        if heard.opening is None:
            heard.opening = opening(self.file.cards, self.demand, dates=heard.dates)
        return heard.opening

    def shooting(self) -> Shooting:
        """Return what the operator shot of the work that the idle limit counts."""
        heard, demand = self.heard, self.demand
        if heard.shooting is None:
            process = demand.idle.counts(demand.process)
            heard.shooting = shooting(
                self.file.shots, process=process, interval=heard.interval
            )
        return heard.shooting

    def shown(self) -> Shown:
        """Return what the operator's mock-ups show of the work."""
        heard = self.heard
        if heard.shown is None:
            at = heard.interval.start.astimezone(ZoneInfo(heard.interval.zone))
            heard.shown = shown_by(self.file, self.demand, at=at)
        return heard.shown


def question(
    file: OperatorFile,
    demand: Demand,
    *,
    interval: Interval,
    watch: Watch | None,
    terms: Terms | None,
) -> Question:
    """Return the question whether an operator is qualified on record, not yet judged.

    Source: project's choice. Raises as `local_dates` does.

    >>> from crews.domain import examples
    >>> take = Interval(examples.AT, None, examples.ZONE)
    >>> asked = question(examples.operator_file(), examples.demand(), interval=take,
    ...                  watch=None, terms=None)
    >>> [card.number for card in asked.opening()]
    ['WV-0001']
    """
    return Question(
        file=file,
        demand=demand.under(terms),
        watch=watch,
        terms=terms,
        heard=Heard.over(interval),
    )
