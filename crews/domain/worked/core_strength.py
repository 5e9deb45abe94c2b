"""The strength of one core or cube as calculations that say what they take."""

from __future__ import annotations

from decimal import Decimal

from crews.domain.core_facts import Specimen
from crews.domain.core_strength import (
    C42_FACTOR,
    C42_STRENGTH,
    CUBE_STRENGTH,
    LD_LEAST,
    LD_MOST,
    CoreStrength,
    as_reported,
    core_strength,
    correction_factor,
)
from crews.domain.core_validity import C42_LENGTH, C1140_CUBE, C1604_SOUND, examine
from crews.domain.worked.specimens import (
    DENSITY,
    SEEN,
    length_field,
    load_field,
    specimen_of,
)
from project.domain.calculation import Answer, Calculation, Field, Given, Kind
from project.domain.term_kinds import LD_175, LD_194
from project.domain.terms import Terms
from project.domain.units import Quantity
from project.domain.working import Named, Step, Working

GROUP = "Cores and strength"
_AGE = 28
_BEFORE_FACTOR = ("mean diameter", "area", "load over area")
_SIDES = (
    length_field("d1", "First diameter"),
    length_field("d2", "Second diameter, at right angles"),
)


def _strength(given: Given, terms: Terms) -> Answer:
    test = specimen_of(given, "core", age=_AGE)
    made = core_strength(test, terms=terms)
    figures = {"strength": made.working(), "load over area": _uncorrected(made)}
    told = ("diameter", "length_drilled", *(field.name for field in SEEN))
    if not any(given.has(name) for name in (*told, "density")):
        return Answer(figures)
    return Answer(figures, verdict=examine(test, terms=terms).validity)


def _uncorrected(made: CoreStrength) -> Working:
    """Return the strength before the factor, for whoever compares with a report."""
    value = Quantity(made.exact.value / (made.factor or Decimal(1)), made.exact.unit)
    whole = made.working()
    return Working(
        title="Load over area, before the factor",
        inputs=whole.inputs,
        steps=tuple(step for step in whole.steps if step.name in _BEFORE_FACTOR),
        exact=value,
        reported=as_reported(value),
        rounding=whole.rounding,
        settings=made.terms.used("strength_unit"),
    )


def _cube(given: Given, terms: Terms) -> Answer:
    test = specimen_of(given, "cube", age=_AGE, kind=Specimen.CUBE)
    examined = examine(test, terms=terms)
    working = core_strength(test, terms=terms).working()
    return Answer({"strength": working}, verdict=examined.validity)


def _factor(given: Given, terms: Terms) -> Answer:
    used = terms.choice("ld_limit")
    if used is None:
        raise ValueError("terms: ld_limit must be given")
    ld = given.number("ld")
    if not LD_LEAST <= ld <= LD_MOST:
        raise ValueError(f"ld {ld}: allowed is {LD_LEAST} to {LD_MOST}")
    other = LD_194 if used == LD_175 else LD_175
    figures = {"factor": _factor_working(ld, used, terms)}
    words = f"{used} is used; {other} gives the same"
    if correction_factor(ld, limit=other) != correction_factor(ld, limit=used):
        figures["factor by the other limit"] = _factor_working(ld, other, None)
        words = f"{used} is used; the two limits give different factors"
    return Answer(figures, words=words)


def _factor_working(ld: Decimal, limit: str, terms: Terms | None) -> Working:
    factor = Quantity(correction_factor(ld, limit=limit), "1")
    return Working(
        title=f"Factor, corrected where length over diameter is {limit}",
        inputs=(Named("ld", Quantity(ld, "1")),),
        steps=(Step("factor", f"table at {ld}, {limit}: {factor}", C42_FACTOR),),
        exact=factor,
        reported=factor,
        rounding="none: the strength is rounded, not the factor",
        settings=() if terms is None else terms.used("ld_limit"),
    )


CALCULATIONS = (
    Calculation(
        name="core-strength",
        title="Strength of one core",
        group=GROUP,
        says="Breaking load over the mean area, times the factor for a short core. "
        "With anything said of how it was drilled and tested, also whether it counts.",
        fields=(
            *_SIDES,
            length_field("length", "Length as tested", most=60),
            load_field(),
            length_field("length_drilled", "Length as drilled", most=60, optional=True),
            length_field("diameter", "Diameter it was ordered with", optional=True),
            *SEEN,
            DENSITY,
        ),
        run=_strength,
        sources=(C42_STRENGTH, C42_FACTOR, C42_LENGTH, C1604_SOUND),
        settings=("strength_unit", "ld_limit", "conditioning", "core_diameter_least"),
        example={
            "d1": ["3.00", "in"],
            "d2": ["3.00", "in"],
            "length": ["3.60", "in"],
            "load": ["30000", "lbf"],
        },
    ),
    Calculation(
        name="correction-factor",
        title="Factor for a short core",
        group=GROUP,
        says="The factor by length over diameter, linear between the rows of the table, "
        "by the limit in use and by the other one where they part.",
        fields=(
            Field(
                "ld",
                "Length over diameter",
                Kind.NUMBER,
                least=Decimal(0),
                most=Decimal(10),
            ),
        ),
        run=_factor,
        sources=(C42_FACTOR,),
        settings=("ld_limit",),
        example={"ld": "1.20"},
    ),
    Calculation(
        name="cube-strength",
        title="Strength of one cube",
        group=GROUP,
        says="Breaking load over the face it bears on; a cube has no factor.",
        fields=(
            length_field("d1", "One side of the loaded face"),
            length_field("d2", "The other side"),
            load_field(),
            *SEEN,
        ),
        run=_cube,
        sources=(CUBE_STRENGTH, C1140_CUBE, C1604_SOUND),
        settings=("strength_unit", "ld_limit", "conditioning"),
        example={"d1": ["3.00", "in"], "d2": ["3.00", "in"], "load": ["36000", "lbf"]},
    ),
)
