"""The run of a mixture: every mean of three consecutive panels.

Panels stand in the order they were shot. Two of them are too few to say anything, and
that is a state of its own, neither pass nor fail.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import partial
from itertools import dropwhile

from crews.domain.acceptance import set_mean
from crews.domain.core_strength import as_reported
from crews.domain.shares import WHOLE_PERCENT, Basis, basis, basis_lacking
from crews.domain.strength_set import StrengthSet
from project.domain.editions import EDITIONS
from project.domain.terms import Terms
from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Reason, Ref, Source, State, Verdict
from project.domain.working import Named, Step, Working

IN_ORDER = Source(
    "project's choice", "panels in the order of shooting", "", Known.PROJECT
)

# How many consecutive panels make one mean is in the term's own name; a count of it
# is no coefficient.
_IN_A_MEAN = 3
_KEY = "three panels"
_MEAN = "mean of three consecutive panels"
_TERM = "core_three_mean"


@dataclass(frozen=True, slots=True)
class PanelMean:
    """One panel of a run: its day, and the mean of its set once that is complete.

    Source: `judge_run`.

    >>> PanelMean("TP-1", date(2026, 8, 4), None).mean is None
    True
    """

    panel: str
    shot_on: date
    mean: Quantity | None


def judge_run(sets: Sequence[StrengthSet], *, terms: Terms) -> Verdict:
    """Return whether every mean of three consecutive panels reaches its share.

    Parameters
    ----------
    sets
        The sets of one mixture at the age of f_c, each with the day its panel was shot;
        early sets are left out. Those of one day stay in the order given.
    terms
        Give `core_three_mean`, and what `judge_set` asks.

    Returns as `judge_means`. Raises ValueError for sets of several mixtures or f_c, and
    for one without its day. Source: ACI 318-19, 26.12.4 (from memory).

    >>> from project.domain.editions import resolve
    >>> terms = resolve("aci-318-2019", revision=1, effective_on=date(2026, 7, 1),
    ...                 departures={})
    >>> judge_run((), terms=terms).state
    <State.NOT_ENOUGH_YET: 'not enough yet'>
    """
    decisive = [s for s in sets if not s.is_early(terms)]
    for s in decisive:
        if (s.mix, s.f_c) != (decisive[0].mix, decisive[0].f_c):
            one = f"{decisive[0].mix}, {decisive[0].f_c}"
            raise ValueError(f"mix of {s.panel}: {s.mix}, {s.f_c}; the run's is {one}")
        if s.shot_on is None:
            raise ValueError(f"shot_on of {s.panel}: not given; a run needs the day")
    means = [
        PanelMean(s.panel, s.shot_on, set_mean(s, terms=terms))
        for s in decisive
        if s.shot_on is not None
    ]
    f_c = decisive[0].f_c if decisive else None
    return judge_means(means, f_c=f_c, terms=terms)


def judge_means(
    means: Sequence[PanelMean], *, f_c: Quantity | None, terms: Terms
) -> Verdict:
    """Return whether every mean of three consecutive panels reaches its share.

    Parameters
    ----------
    means
        The panels of one mixture; unrounded means [pressure].
    f_c
        Of the mixture [pressure]; nothing only where there are fewer than three panels.
    terms
        Give `core_three_mean`, `strength_basis`, `core_rounding`.

    Returns a verdict: pass, fail, "not enough yet" below three panels with a mean,
    undecided where a panel amid the others has none, information where the terms ask
    no such mean. Panels at the end of the run that wait for a result are named and
    hold nothing up. Raises ValueError for three panels without f_c. Source: ACI 318-19, 26.12.4 (from memory).

    >>> from project.domain.editions import resolve
    >>> terms = resolve("aci-318-2019", revision=1, effective_on=date(2026, 7, 1),
    ...                 departures={})
    >>> means = [PanelMean(f"TP-{day}", date(2026, 8, day),
    ...                    Quantity(Decimal(psi), "psi"))
    ...          for day, psi in ((3, 3600), (4, 3700), (5, 4100))]
    >>> f_c = Quantity(Decimal(4000), "psi")
    >>> verdict = judge_means(means, f_c=f_c, terms=terms)
    >>> str(verdict.state), verdict.reasons[0].found
    ('fail', 'mean 3800.0 psi')
    >>> [ref.name for ref in verdict.reasons[0].evidence]
    ['TP-3', 'TP-4', 'TP-5']
    >>> str(judge_means(means[:2], f_c=f_c, terms=terms).state)
    'not enough yet'
    """
    share = terms.decimal(_TERM)
    if share is None:
        return _not_asked()
    ordered = sorted(means, key=lambda one: one.shot_on)
    latest = len(list(dropwhile(lambda one: one.mean is None, reversed(ordered))))
    reported, waiting = ordered[:latest], [*_waiting(ordered[latest:])]
    rule = _rule(terms, share)
    if len(reported) < _IN_A_MEAN:
        too_few = _too_few(len(reported), share, terms)
        return Verdict(State.NOT_ENOUGH_YET, rule, (too_few, *waiting))
    if f_c is None:
        raise ValueError("f_c: not given; a run of panels is compared with its share")
    of = basis(f_c, terms=terms)
    if of is None:
        return Verdict(State.UNDECIDED, rule, (basis_lacking(terms), *waiting))
    return _Run(of, share, terms, reported).verdict(rule, waiting)


def _not_asked() -> Verdict:
    asked = "a mean of three consecutive panels, where the document asks for it"
    reason = Reason(_KEY, asked, State.INFORMATION, "no limit given", IN_ORDER)
    return Verdict(State.INFORMATION, "no mean of three panels is asked", (reason,))


def _rule(terms: Terms, share: Decimal) -> str:
    edition = EDITIONS.get(terms.edition)
    name = terms.edition if edition is None else edition.name
    return f"{name}: {_MEAN} of a mix at least {share}"


def _too_few(count: int, share: Decimal, terms: Terms) -> Reason:
    asked, found = f"{_MEAN} at least {share}", f"{count} of {_IN_A_MEAN}"
    return Reason(
        _KEY,
        asked,
        State.NOT_ENOUGH_YET,
        f"{found}: not enough panels yet",
        terms.source(_TERM),
    )


def _waiting(panels: Sequence[PanelMean]) -> Iterator[Reason]:
    """Name the panels at the end of the run that have no mean yet."""
    if panels:
        yield Reason(
            "waiting",
            "a mean of its own first",
            State.INFORMATION,
            "no mean yet",
            IN_ORDER,
            evidence=_refs(panels),
        )


@dataclass(frozen=True, slots=True)
class _Three:
    """Three consecutive panels that all have a mean."""

    panels: tuple[PanelMean, ...]
    strengths: tuple[Decimal, ...]

    @property
    def mean(self) -> Decimal:
        return sum(self.strengths, Decimal(0)) / len(self.strengths)


def _name(panels: Sequence[PanelMean]) -> str:
    return ", ".join(one.panel for one in panels)


def _refs(panels: Sequence[PanelMean]) -> tuple[Ref, ...]:
    return tuple(Ref("panel", one.panel, one.panel) for one in panels)


@dataclass(frozen=True, slots=True)
class _Run:
    """A run long enough to be compared; everything else is read off it."""

    of: Basis
    share: Decimal
    terms: Terms
    panels: Sequence[PanelMean]

    def verdict(self, rule: str, waiting: Sequence[Reason]) -> Verdict:
        each = [*self._each()]
        made = [one for one in each if isinstance(one, _Three)]
        reasons = [
            self._compared(one) if isinstance(one, _Three) else one for one in each
        ]
        states = {reason.state for reason in reasons}
        worst = (one for one in (State.FAIL, State.UNDECIDED) if one in states)
        lowest = min(made, key=lambda one: one.mean, default=None)
        other = () if lowest is None else self._interpretation(lowest.mean)
        return Verdict(
            next(worst, State.PASS),
            rule,
            (*reasons, *other, *waiting),
            working=None if lowest is None else partial(self._working, lowest),
        )

    def _each(self) -> Iterator[_Three | Reason]:
        """Yield each three consecutive panels, or why they have no mean."""
        unit = self.of.value.unit
        for last in range(_IN_A_MEAN, len(self.panels) + 1):
            panels = tuple(self.panels[last - _IN_A_MEAN : last])
            lacking = [one for one in panels if one.mean is None]
            if lacking:
                yield Reason(
                    _KEY,
                    _MEAN,
                    State.UNDECIDED,
                    f"{_name(lacking)} without a mean",
                    self.terms.source(_TERM),
                    evidence=_refs(panels),
                )
                continue
            means = (one.mean for one in panels if one.mean is not None)
            strengths = tuple(convert(mean, to=unit).value for mean in means)
            yield _Three(panels, strengths)

    def _compared(self, one: _Three) -> Reason:
        made = self.of.against(
            _KEY,
            one.mean,
            self.share,
            asked=_MEAN,
            lead="mean ",
            source=self.terms.source(_TERM),
        )
        return made._replace(evidence=_refs(one.panels))

    def _interpretation(self, lowest: Decimal) -> Iterator[Reason]:
        of, share = self.of, self.share
        there = of.meets(lowest, share, mode=of.other_mode)
        if there != of.meets(lowest, share):
            asked = f"shares compared {of.mode}; the other interpretation is"
            percent = f"lowest {of.percent(lowest, share)} of {of.word}"
            yield Reason(
                "interpretation",
                f"{asked} {of.other_mode}",
                State.INFORMATION,
                f"{of.other_mode}: {'pass' if there else 'fail'}; {percent}",
                WHOLE_PERCENT,
            )

    def _working(self, one: _Three) -> Working:
        """Lay out the lowest mean of three, with the numbers put in."""
        of, share, unit = self.of, self.share, self.of.value.unit
        texts = [of.shown(value, share).split()[0] for value in one.strengths]
        made = f"({' + '.join(texts)}) / {_IN_A_MEAN} = {of.shown(one.mean, share)}"
        limit = f"{of.limit(share).normalize():f} {unit}"
        least = f"{share} × {of.value.value:f} = {limit}"
        exact = Quantity(one.mean, unit)
        asked = self.terms.choice("strength_unit") or unit
        named = (
            Named(panel.panel, Quantity(Decimal(text), unit))
            for panel, text in zip(one.panels, texts, strict=True)
        )
        return Working(
            title=f"Lowest mean of three panels: {_name(one.panels)}",
            inputs=(Named(of.word, of.value), *named),
            steps=(
                Step("mean of three", made),
                Step("least mean of three", least, self.terms.source(_TERM)),
            ),
            exact=exact,
            reported=as_reported(convert(exact, to=asked)),
            rounding="compared unrounded; only what is reported is rounded",
            settings=self.terms.used(_TERM, "strength_basis", "core_rounding"),
        )
