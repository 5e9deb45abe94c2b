"""A set of cores or cubes against its shares: the mean, each one, and every reason.

Comparisons are made on unrounded strengths. All specimens that may count are in the
mean, never the best of them; one left out is listed with its reason, and a set that
cannot reach its number is incomplete, never averaged over fewer. Where a strict
reader and one who rounds to whole percent would part, or the two limits of
correction, both answers are given and the contract's decides.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from decimal import Decimal
from functools import cached_property, partial

from crews.domain.core_facts import Specimen
from crews.domain.core_strength import as_reported
from crews.domain.core_validity import Examined, examine
from crews.domain.set_remarks import left_out, scatter
from crews.domain.shares import SHARES, WHOLE_PERCENT, Basis, basis, basis_lacking
from crews.domain.strength_set import Due, StrengthSet, due
from project.domain.editions import EDITIONS
from project.domain.term_kinds import AT_LEAST, STRICT
from project.domain.terms import Terms
from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Reason, Source, State, Verdict
from project.domain.working import Named, Step, Working

ALL_CORES = Source("project's choice", known=Known.PROJECT)

_SETTINGS = ("core_count", "strength_basis", "core_rounding", "ld_limit")


def judge_set(s: StrengthSet, *, terms: Terms, on: date) -> Verdict:
    """Return whether a set of cores or cubes is accepted on a date.

    Parameters
    ----------
    s
        The set; its strengths may be in any unit of pressure.
    terms
        Give `core_count`, `core_average` and `core_single` (of cubes `cube_average`
        and `cube_single`), `set_mean_met`, `strength_basis`, `core_rounding` and what
        `core_validity` and `core_strength` ask.
    on
        The day of the question, in the job's zone.

    Returns a verdict: pass, fail, undecided, incomplete, not due (see `due`), no
    data, and information for a set younger than f_c's age. Limits and margins are
    in the unit of f_c, or of the required core strength where shares are of it; it has
    a working once the set is complete. Undecided where that strength, or a share of
    cubes, is not given. Raises ValueError where another needed term is not given.

    Source: IBC 1908.10.3 (2009 read as 1913.10.3, 2018 from memory); UFGS 03371, of
    the required core strength (read); two interpretations of a whole percent, ACI
    committee manual 11.6.7 (as quoted, read).

    >>> from crews.domain.core_facts import CoreTest
    >>> from project.domain.editions import resolve
    >>> terms = resolve("ibc-2018-1908", revision=1, effective_on=date(2026, 7, 1),
    ...                 departures={})
    >>> cores = tuple(
    ...     CoreTest(f"TP-010/{n}", planned_age=28, reinforcement="none",
    ...              conditioning="soaked", strength=Quantity(Decimal(psi), "psi"))
    ...     for n, psi in ((3, 5620), (4, 5480), (5, 4490)))
    >>> tp = StrengthSet("TP-010", mix="D-60", f_c=Quantity(Decimal(6000), "psi"),
    ...                  age=28, due_on=date(2026, 9, 11), cores=cores)
    >>> verdict = judge_set(tp, terms=terms, on=date(2026, 9, 14))
    >>> str(verdict.state), [reason.found for reason in verdict.failed]
    ('fail', ['TP-010/5: 4490.0 psi'])
    >>> [r.found for r in verdict.reasons if r.key == "interpretation"]
    ['rounded: pass; mean 86.6 %, lowest 74.8 % of f_c']
    """
    return _Judging(s, terms, on).verdict()


def set_mean(s: StrengthSet, *, terms: Terms) -> Quantity | None:
    """Return the unrounded mean of a complete set; nothing while it is not complete.

    In the unit that `judge_set` judges it in. Parameters and errors as of `judge_set`.
    Source: `judge_set`.

    >>> from project.domain.editions import resolve
    >>> terms = resolve("ibc-2018-1908", revision=1, effective_on=date(2026, 7, 1),
    ...                 departures={})
    >>> empty = StrengthSet("TP-1", mix="W-40", f_c=Quantity(Decimal(4000), "psi"),
    ...                     age=28, due_on=date(2026, 9, 1), cores=())
    >>> set_mean(empty, terms=terms) is None
    True
    """
    judging = _Judging(s, terms, s.due_on)
    return Quantity(judging.mean, judging.unit) if judging.complete else None


class _Judging:
    """The set looked at once; everything else is read off it."""

    def __init__(self, s: StrengthSet, terms: Terms, on: date) -> None:
        self.s, self.terms = s, terms
        self.early = s.is_early(terms)
        self.due = due(s.due_on, terms=terms, on=on)
        self.basis = basis(s.f_c, terms=terms)
        self.share_terms = SHARES[s.specimen]
        self.met = terms.choice("set_mean_met") or AT_LEAST
        self.shares = self._shares()
        self.count = self._count()
        self.examined = tuple(examine(core, terms=terms) for core in s.cores)

    def _shares(self) -> tuple[Decimal, Decimal] | None:
        """Both shares; nothing where the terms give none for cubes."""
        given = self.share_terms
        if self.s.specimen is Specimen.CORE:
            return _needed(self.terms, given[0]), _needed(self.terms, given[1])
        mean, single = (self.terms.decimal(name) for name in given)
        return None if mean is None or single is None else (mean, single)

    def _count(self) -> int:
        """How many must count: the contract's number, of early ones its own."""
        if not self.early:
            return int(_needed(self.terms, "core_count"))
        ordered = self.terms.decimal("early_core_count")
        return max(1, len(self.s.cores) if ordered is None else int(ordered))

    @property
    def unit(self) -> str:
        return self.s.f_c.unit if self.basis is None else self.basis.value.unit

    @property
    def kind(self) -> str:
        return str(self.s.specimen)

    def _in(self, state: State) -> list[Examined]:
        return [core for core in self.examined if core.validity.state is state]

    @cached_property
    def counted(self) -> list[tuple[str, Decimal]]:
        """The specimens that count, by name, each with its strength in one unit."""
        return [
            (core.test.core, convert(core.strength.exact, to=self.unit).value)
            for core in self.examined
            if core.counts and core.strength is not None
        ]

    @cached_property
    def complete(self) -> bool:
        """Whether every specimen is reported and enough of them count."""
        open_states = (State.NO_DATA, State.UNDECIDED)
        still_open = any(c.validity.state in open_states for c in self.examined)
        return len(self.counted) >= self.count and not still_open

    @cached_property
    def strengths(self) -> list[Decimal]:
        return [strength for _, strength in self.counted]

    @cached_property
    def otherwise(self) -> list[Decimal]:
        """The strengths by the other limit of correction, where that is another one."""
        made = (core.strength for core in self.examined if core.counts)
        return [
            convert((one.otherwise or one).exact, to=self.unit).value
            for one in made
            if one is not None
        ]

    @cached_property
    def mean(self) -> Decimal:
        return _mean(self.strengths)

    def accepted(
        self, strengths: Sequence[Decimal], of: Basis, *, mode: str = ""
    ) -> bool:
        """Whether nothing refuses these strengths, in one of the two interpretations."""
        mean_share, single_share = self.shares or (Decimal(0), Decimal(0))
        singles = (of.meets(one, single_share, mode=mode) for one in strengths)
        if not self.complete:
            return all(singles)
        mean = of.meets(_mean(strengths), mean_share, mode=mode, met=self.met)
        return mean and all(singles)

    def verdict(self) -> Verdict:
        reasons = tuple(self._reasons())
        return Verdict(
            self._state(),
            self._rule(),
            reasons,
            working=partial(_set_working, self) if self.complete else None,
        )

    def _state(self) -> State:
        tested = any(core.test.tested for core in self.examined)
        if not self.early:
            if self.basis is None or self.shares is None:
                return State.UNDECIDED if tested else self._waiting_state()
            if not self.accepted(self.strengths, self.basis):
                return State.FAIL
        if self._in(State.UNDECIDED):
            return State.UNDECIDED
        if self.complete:
            return State.INFORMATION if self.early else State.PASS
        return State.INCOMPLETE if tested else self._waiting_state()

    def _waiting_state(self) -> State:
        late = self.due in (Due.AWAITED, Due.OVERDUE)
        return State.NO_DATA if late else State.NOT_DUE

    def _rule(self) -> str:
        edition = EDITIONS.get(self.terms.edition)
        name = self.terms.edition if edition is None else edition.name
        if self.early:
            return f"{name}: early {self.kind}s, for information"
        if self.basis is None or self.shares is None:
            return f"{name}: not all limits are given"
        (mean, single), word = self.shares, self.basis.word
        return (
            f"{name}: mean {self.met} {mean} {word}, each {self.kind} at least "
            f"{single} {word}, {self.basis.mode}"
        )

    def _reasons(self) -> Iterator[Reason]:
        yield self._result()
        yield self._cores()
        if self.early:
            yield from self._plain(Basis(self.s.f_c, "f_c", STRICT))
        elif self.basis is None or self.shares is None:
            yield from self._lacking()
            yield from self._plain(None)
        else:
            yield from self._compared(self.basis, *self.shares)
        yield from left_out(self.examined)
        if not self.early and self.basis is not None and self.shares is not None:
            yield from self._interpretations(self.basis)
        if self.complete:
            yield from scatter(self.counted, unit=self.unit)

    def _lacking(self) -> Iterator[Reason]:
        if self.basis is None:
            yield basis_lacking(self.terms)
        if self.shares is None:
            asked = f"a share for the mean of {self.kind}s and for each"
            state, found = State.UNDECIDED, "no limit given"
            yield Reason("limits", asked, state, found, ALL_CORES)

    def _plain(self, of: Basis | None) -> Iterator[Reason]:
        """Say the mean and each strength, compared with nothing."""
        told = [(self.kind, f"{name}: ", value) for name, value in self.counted]
        if self.complete:
            told.insert(0, ("mean", "mean ", self.mean))
        for key, lead, value in told:
            text = f"{lead}{_text(value, self.unit)} {self.unit}"
            if of is not None:
                text += f", {100 * value / of.value.value:.1f} % of {of.word}"
            asked = f"each {self.kind}" if key == self.kind else "mean of the set"
            yield Reason(key, asked, State.INFORMATION, text, ALL_CORES)

    def _compared(
        self, of: Basis, mean_share: Decimal, single_share: Decimal
    ) -> Iterator[Reason]:
        if self.complete:
            yield of.against(
                "mean",
                self.mean,
                mean_share,
                asked="mean of the set",
                lead="mean ",
                source=self.terms.source(self.share_terms[0]),
                met=self.met,
            )
        for name, strength in self.counted:
            yield of.against(
                self.kind,
                strength,
                single_share,
                asked=f"each {self.kind}",
                lead=f"{name}: ",
                source=self.terms.source(self.share_terms[1]),
            )

    def _result(self) -> Reason:
        waiting = self._in(State.NO_DATA)
        requirement = f"reported when due, {self.s.due_on}"
        if self.examined and not waiting:
            state, found = State.PASS, "reported"
        else:
            state, found = self._waiting_state(), str(self.due)
        return Reason("result", requirement, state, found, ALL_CORES)

    def _cores(self) -> Reason:
        waiting, counted = self._in(State.NO_DATA), len(self.counted)
        possible = counted + len(waiting) + len(self._in(State.UNDECIDED))
        key, source = f"{self.kind}s", self.terms.source("core_count")
        asked = f"{self.count} {key} that count, all of them in the mean"
        if possible < self.count:
            made = "drilled" if self.s.specimen is Specimen.CORE else "sawn"
            found = f"{possible} can count; {self.count - possible} more to be {made}"
            return Reason(key, asked, State.INCOMPLETE, found, source)
        if self.complete:
            return Reason(key, asked, State.PASS, f"{counted} count", source)
        found = f"{counted} of {possible} count so far"
        state = self._waiting_state() if not counted else State.INCOMPLETE
        return Reason(key, asked, state, found, source)

    def _interpretations(self, of: Basis) -> Iterator[Reason]:
        """Show the answer of each interpretation that is not the contract's."""
        accepted = self.accepted(self.strengths, of)
        other = of.other_mode
        if self.accepted(self.strengths, of, mode=other) != accepted:
            words = f"shares compared {of.mode}; the other interpretation is {other}"
            found = f"{other}: {_answer(not accepted)}; {self._percents(of)}"
            yield Reason(
                "interpretation", words, State.INFORMATION, found, WHOLE_PERCENT
            )
        if self.complete and self.otherwise != self.strengths:
            yield self._other_limit(of)

    def _percents(self, of: Basis) -> str:
        mean_share, single_share = self.shares or (Decimal(0), Decimal(0))
        lowest = f"lowest {of.percent(min(self.strengths), single_share)}"
        if not self.complete:
            return f"{lowest} of {of.word}"
        return f"mean {of.percent(self.mean, mean_share)}, {lowest} of {of.word}"

    def _other_limit(self, of: Basis) -> Reason:
        used = self.terms.choice("ld_limit")
        answer = _answer(self.accepted(self.otherwise, of))
        mean, lowest = _mean(self.otherwise), min(self.otherwise)
        found = (
            f"by the other limit: {answer}; mean {_text(mean, self.unit)}, lowest "
            f"{_text(lowest, self.unit)} {self.unit}"
        )
        return Reason(
            "correction limit",
            f"used: corrected {used}",
            State.INFORMATION,
            found,
            self.terms.source("ld_limit"),
        )


def _answer(accepted: bool) -> str:
    return "pass" if accepted else "fail"


def _mean(strengths: Sequence[Decimal]) -> Decimal:
    return sum(strengths, Decimal(0)) / len(strengths)


def _needed(terms: Terms, name: str) -> Decimal:
    value = terms.decimal(name)
    if value is None:
        raise ValueError(f"term {name}: not given, and no set can be judged without it")
    return value


_PLACES = {"psi": 1, "MPa": 2}


def _text(value: Decimal, unit: str) -> str:
    return f"{value.quantize(Decimal(1).scaleb(-_PLACES.get(unit, 0))):f}"


def _set_working(judging: _Judging) -> Working:
    """Lay out the mean and both limits of a set, with the numbers put in."""
    s, unit, terms = judging.s, judging.unit, judging.terms
    texts = [_text(value, unit) for value in judging.strengths]
    line = f"({' + '.join(texts)}) / {len(texts)} = {_text(judging.mean, unit)} {unit}"
    mean = Quantity(judging.mean, unit)
    named = (
        Named(name, Quantity(Decimal(text), unit))
        for (name, _), text in zip(judging.counted, texts, strict=True)
    )
    of = judging.basis
    return Working(
        title=f"{s.specimen.capitalize()} set {s.panel} at {s.age} d",
        inputs=(Named("f_c" if of is None else of.word, _basis_value(judging)), *named),
        steps=(Step("mean", line), *_limits(judging)),
        exact=mean,
        reported=as_reported(convert(mean, to=terms.choice("strength_unit") or unit)),
        rounding=f"the mean and each {s.specimen} are compared unrounded; "
        "only what is reported is rounded",
        settings=terms.used(*judging.share_terms, "set_mean_met", *_SETTINGS),
    )


def _basis_value(judging: _Judging) -> Quantity:
    return judging.s.f_c if judging.basis is None else judging.basis.value


def _limits(judging: _Judging) -> Iterator[Step]:
    of, shares = judging.basis, judging.shares
    if of is None or shares is None:
        return
    names = ("least mean", f"least {judging.kind}")
    for name, share, term in zip(names, shares, judging.share_terms, strict=True):
        limit = f"{of.limit(share).normalize():f}"
        line = f"{share} × {of.value.value:f} = {limit} {of.value.unit}"
        yield Step(name, line, judging.terms.source(term))
