"""A set, a run of panels and the limits they are held to, as calculations."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from crews.domain.acceptance import judge_set
from crews.domain.core_facts import CoreTest, Specimen
from crews.domain.panel_run import PanelMean, judge_means
from crews.domain.shares import SHARES, WHOLE_PERCENT, basis
from crews.domain.strength_set import StrengthSet
from crews.domain.worked.core_strength import GROUP
from crews.domain.worked.specimens import (
    SEEN,
    length_field,
    load_field,
    specimen_of,
    strength_field,
)
from project.domain.calculation import Answer, Calculation, Field, Given, Kind
from project.domain.term_kinds import AT_LEAST, MORE_THAN, SOAKED
from project.domain.terms import Terms
from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Reason, Source, State, Verdict
from project.domain.working import Named, Step, Working

_IBC = Source("IBC", "1913.10.3", "2009", Known.READ)
_RUN = Source("ACI 318", "26.12.4", "2019")
_RATIO = Source("share of cores over share of cubes", known=Known.DERIVED)
_F_C = strength_field("f_c", "Specified strength")
_SHARE_TERMS = (
    "strength_basis",
    "required_core_strength",
    "core_average",
    "set_mean_met",
    "core_single",
    "cube_average",
    "cube_single",
)
_SOUND = "left out: sound, and kept as the terms ask"


def _set(given: Given, terms: Terms) -> Answer:
    kind = Specimen(given.word("specimen") or Specimen.CORE)
    age = _age(given, terms)
    rows = given.rows("cores")
    cores = tuple(
        _taken_as_sound(row, f"{kind} {number}", age, kind, terms)
        for number, row in enumerate(rows, start=1)
    )
    s = StrengthSet(
        "as typed",
        mix="the mixture",
        f_c=given.quantity("f_c"),
        age=age,
        due_on=terms.effective_on,
        cores=cores,
        specimen=kind,
    )
    verdict = judge_set(s, terms=terms, on=terms.effective_on)
    figures = {} if verdict.working is None else {"mean": verdict.working()}
    # Nobody typed a day on which the results were due.
    reasons = tuple(r for r in verdict.reasons if r.key != "result")
    return Answer(
        figures | _limits(given, terms, kind), verdict=replace(verdict, reasons=reasons)
    )


def _age(given: Given, terms: Terms) -> int:
    if given.has("age"):
        return given.count("age")
    asked = terms.quantity("core_age")
    if asked is None:
        raise ValueError("age: not given, and the terms give no age at test")
    return int(convert(asked, to="d").value)


def _taken_as_sound(
    row: Given, name: str, age: int, kind: Specimen, terms: Terms
) -> CoreTest:
    values = dict(row.values)
    values["reinforcement"] = row.word("reinforcement") or "none"
    kept = terms.choice("conditioning") or SOAKED
    values["conditioning"] = row.word("conditioning") or kept
    return specimen_of(Given(values), name, age=age, kind=kind)


def _limits(given: Given, terms: Terms, kind: Specimen) -> dict[str, Working]:
    """Return the least mean and the least of each, where the terms give both."""
    of = basis(given.quantity("f_c"), terms=terms)
    if of is None:
        return {}
    found = {}
    for name, term in zip(("least mean", f"least {kind}"), SHARES[kind], strict=True):
        share = terms.decimal(term)
        if share is not None:
            found[name] = _limit(name, of.word, of.value, term, share, terms)
    return found


def _limit(
    name: str, word: str, value: Quantity, term: str, share: Decimal, terms: Terms
) -> Working:
    plain = f"{(share * value.value).normalize():f}"
    limit = Quantity(Decimal(plain), value.unit)
    line = f"{share} × {value.value:f} = {limit}"
    return Working(
        title=name.capitalize(),
        inputs=(Named(word, value),),
        steps=(Step(name, line, terms.source(term)),),
        exact=limit,
        reported=limit,
        rounding="none: a limit is compared as it is",
        settings=terms.used(term, "strength_basis", "set_mean_met"),
    )


def _all_limits(given: Given, terms: Terms) -> Answer:
    cores = _limits(given, terms, Specimen.CORE)
    of = basis(given.quantity("f_c"), terms=terms)
    if of is None:
        return Answer({}, words="required core strength not given")
    cubes = _limits(given, terms, Specimen.CUBE)
    figures = {**cores, **{f"{name}, cubes": made for name, made in cubes.items()}}
    share = terms.decimal("core_three_mean")
    if share is not None:
        name = "least mean of three panels"
        figures[name] = _limit(name, of.word, of.value, "core_three_mean", share, terms)
    over = terms.choice("set_mean_met") == MORE_THAN
    words = "a mean that is exactly the least mean is refused" if over else ""
    return Answer(figures | _ratio(terms), words=words)


def _ratio(terms: Terms) -> dict[str, Working]:
    """Return how the shares of cores stand to those of cubes, where both are given."""
    made = {}
    names = ("core over cube, mean", "core over cube, each")
    for name, core, cube in zip(
        names, SHARES[Specimen.CORE], SHARES[Specimen.CUBE], strict=True
    ):
        low, high = terms.decimal(core), terms.decimal(cube)
        if low is not None and high is not None:
            ratio = Quantity(low / high, "1")
            rounded = Quantity(ratio.value.quantize(Decimal("0.001")), "1")
            made[name] = Working(
                title=name.capitalize(),
                inputs=(),
                steps=(Step(name, f"{low} / {high} = {rounded}", _RATIO),),
                exact=ratio,
                reported=rounded,
                rounding="to 0.001",
                settings=terms.used(core, cube),
            )
    return made


def _run(given: Given, terms: Terms) -> Answer:
    f_c = given.quantity("f_c")
    means = [
        PanelMean(
            row.word("panel") or f"panel {number}",
            row.day("shot_on"),
            row.quantity_or_none("mean"),
        )
        for number, row in enumerate(given.rows("panels"), start=1)
    ]
    run = judge_means(means, f_c=f_c, terms=terms)
    panels = _panels(means, f_c, terms)
    failed = any(reason.state is State.FAIL for reason in panels)
    verdict = Verdict(
        State.FAIL if failed else run.state, run.rule, (*panels, *run.reasons)
    )
    return Answer({} if run.working is None else {"mean": run.working()}, verdict)


def _panels(means: list[PanelMean], f_c: Quantity, terms: Terms) -> list[Reason]:
    """Return how each panel's own mean stands; the run does not look at one alone."""
    of, share = basis(f_c, terms=terms), terms.decimal("core_average")
    if of is None or share is None:
        return []
    return [
        of.against(
            "panel",
            convert(one.mean, to=of.value.unit).value,
            share,
            asked="mean of each panel",
            lead=f"{one.panel}: ",
            source=terms.source("core_average"),
            met=terms.choice("set_mean_met") or AT_LEAST,
        )
        for one in means
        if one.mean is not None
    ]


CALCULATIONS = (
    Calculation(
        name="core-set",
        title="A set of cores or cubes",
        group=GROUP,
        says="The mean and each one against their shares, all that may count in the "
        "mean. What a row does not say is taken as sound, kept as the terms ask.",
        fields=(
            _F_C,
            Field(
                "cores",
                "Cores or cubes",
                Kind.ROWS,
                columns=(
                    strength_field("strength", "Strength", optional=True),
                    length_field("d1", "First diameter or side", optional=True),
                    length_field("d2", "Second diameter or side", optional=True),
                    length_field("length", "Length as tested", most=60, optional=True),
                    load_field(optional=True),
                    *SEEN,
                ),
                most_rows=40,
                note=_SOUND,
            ),
            Field(
                "specimen",
                "Kind",
                Kind.CHOICE,
                choices=tuple(Specimen),
                optional=True,
                note="left out: cores; a set holds one kind",
            ),
            Field(
                "age",
                "Age at test, days",
                Kind.COUNT,
                least=Decimal(1),
                most=Decimal(365),
                optional=True,
                note="left out: the age of f_c; a younger set is for information",
            ),
        ),
        run=_set,
        sources=(_IBC, WHOLE_PERCENT),
        settings=(
            "core_count",
            "early_core_count",
            *_SHARE_TERMS,
            "core_rounding",
            "strength_unit",
            "ld_limit",
            "conditioning",
            "core_age",
        ),
        example={
            "f_c": ["4000", "psi"],
            "cores": [
                {"strength": ["3900", "psi"]},
                {"strength": ["4000", "psi"]},
                {"strength": ["4055", "psi"]},
            ],
        },
    ),
    Calculation(
        name="acceptance-limits",
        title="What a set must reach",
        group=GROUP,
        says="The least mean and the least single strength of cores and of cubes for a "
        "specified strength.",
        fields=(_F_C,),
        run=_all_limits,
        sources=(_IBC, _RUN),
        settings=(*_SHARE_TERMS, "core_three_mean"),
        example={"f_c": ["4000", "psi"]},
    ),
    Calculation(
        name="panel-run",
        title="Three consecutive panels of a mixture",
        group=GROUP,
        says="Every mean of three consecutive panels, in the order of their days, and "
        "each panel's own mean.",
        fields=(
            _F_C,
            Field(
                "panels",
                "Panels",
                Kind.ROWS,
                columns=(
                    Field("shot_on", "Shot", Kind.DAY),
                    strength_field("mean", "Mean, unrounded", optional=True),
                    Field("panel", "Panel", Kind.WORDS, optional=True),
                ),
                note="a panel without a mean still has its place in the run",
            ),
        ),
        run=_run,
        sources=(_RUN, WHOLE_PERCENT),
        settings=(
            "core_three_mean",
            "strength_basis",
            "required_core_strength",
            "core_average",
            "set_mean_met",
            "core_rounding",
            "strength_unit",
        ),
        example={
            "f_c": ["4000", "psi"],
            "panels": [
                {"shot_on": "2026-08-03", "mean": ["3600", "psi"]},
                {"shot_on": "2026-08-04", "mean": ["3700", "psi"]},
                {"shot_on": "2026-08-05", "mean": ["4100", "psi"]},
            ],
        },
    ),
)
