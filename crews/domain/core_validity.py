"""May a core or cube count towards strength? Asked before its strength is looked at.

Every requirement is listed, met or not. A core that may not be tested or counted
is "not testable"; what nobody stated is undecided once it was tested; an age off
the plan, or coring before its time, is a condition: the core counts and says so.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal

from crews.domain.core_facts import CoreTest, Specimen
from crews.domain.core_places import edge_source, edge_zone, from_edge
from crews.domain.core_remarks import factor_range, other_limit
from crews.domain.core_strength import (
    LD_LEAST,
    LD_MOST,
    CoreStrength,
    core_strength,
    report_step,
)
from crews.domain.trade_words import CoreReinforcement
from project.domain.showing import beside
from project.domain.terms import Terms
from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Reason, Source, State, Verdict

C42_LENGTH = Source(
    "ASTM C42/C42M", "length before and after capping, as quoted", known=Known.READ
)
C1604_SOUND = Source(
    "ASTM C1604/C1604M", "reinforced and damaged cores, as quoted", known=Known.READ
)
C1140_CUBE = Source("ASTM C1140", "size of cubes, as quoted", known=Known.READ)
C42_AGE = Source("common practice, no source", known=Known.PRACTICE)
TERMS_OF_ORDER = Source("contract", known=Known.CONTRACT)

# A core shorter than this share of its diameter before capping is not tested; a longer
# one than 2.1 diameters is sawn to 1.9 to 2.1 (ASTM C42/C42M, read as quoted).
DRILLED_LEAST = Decimal("0.95")
SAWN_LEAST = Decimal("1.9")

# The side of a cube (ASTM C1140, read as quoted).
CUBE_SIDES = (Quantity(Decimal(2), "in"), Quantity(Decimal(4), "in"))

# The worst first; a core without a flaw but not yet tested has no data.
_ORDER = (State.NOT_TESTABLE, State.NO_DATA, State.UNDECIDED, State.CONDITION)


@dataclass(frozen=True, slots=True)
class Examined:
    """A core with its validity and, where it can be computed, its strength."""

    test: CoreTest
    validity: Verdict
    strength: CoreStrength | None

    @property
    def counts(self) -> bool:
        """Whether its strength belongs in the set."""
        settled = self.validity.state in (State.PASS, State.CONDITION)
        return settled and self.strength is not None


def core_validity(test: CoreTest, *, terms: Terms) -> Verdict:
    """Return whether a core may count, with every requirement.

    Parameters
    ----------
    test
        The core: place, sizes [length], ages [d], what was seen on it.
    terms
        Give `core_diameter_least`, `edge_zone_depths`, `edge_zone_add`,
        `conditioning`, `core_after`; a term not given asks nothing.

    Returns a verdict: pass, condition, undecided, not testable, no data. A factor used
    beyond the concrete it is for, and the other limit of correction where it would
    change the strength, are information and change nothing. Raises ValueError where
    a load's strength cannot be computed for want of `strength_unit` or `ld_limit`.

    Source: ASTM C42/C42M and C1604/C1604M (as quoted, read), ASTM C1140 for the
    edge (from memory), the contract's terms for the rest.

    >>> from datetime import date
    >>> from project.domain.editions import resolve
    >>> terms = resolve("ibc-2018-1908", revision=1, effective_on=date(2026, 7, 1),
    ...                 departures={})
    >>> inches = {"d1": "3.00", "d2": "3.00", "length": "2.90"}
    >>> sizes = {name: Quantity(Decimal(v), "in") for name, v in inches.items()}
    >>> short = CoreTest("TP-001/1", planned_age=28, reinforcement="none",
    ...                  conditioning="soaked", load=Quantity(Decimal(9000), "lbf"),
    ...                  **sizes)
    >>> verdict = core_validity(short, terms=terms)
    >>> str(verdict.state), [reason.found for reason in verdict.unmet]
    ('not testable', ['0.967 diameters long as tested, too short'])
    """
    return _validity(test, terms, _strength(test, terms))


def _validity(test: CoreTest, terms: Terms, made: CoreStrength | None) -> Verdict:
    reasons = (*_core_reasons(test, terms, made),)
    states = {reason.state for reason in reasons}
    state = next((state for state in _ORDER if state in states), State.PASS)
    return Verdict(state, "a core may count towards strength", reasons)


def examine(test: CoreTest, *, terms: Terms) -> Examined:
    """Return a core's validity and its strength, nothing where none can be computed.

    Parameters and errors as of `core_validity`. Source: `core_validity` and
    `core_strength`.

    >>> from datetime import date
    >>> from project.domain.editions import resolve
    >>> terms = resolve("ibc-2018-1908", revision=1, effective_on=date(2026, 7, 1),
    ...                 departures={})
    >>> waiting = examine(CoreTest("TP-001/1", planned_age=28), terms=terms)
    >>> waiting.strength is None, waiting.counts
    (True, False)
    """
    made = _strength(test, terms)
    return Examined(test, _validity(test, terms, made), made)


def _strength(test: CoreTest, terms: Terms) -> CoreStrength | None:
    if not test.tested:
        return None
    if test.load is not None and _is_cube(test):
        if test.d1 is None or test.d2 is None:
            return None
    elif test.load is not None:
        ratio = test.over_diameter(test.length)
        if ratio is None or not LD_LEAST <= ratio <= LD_MOST:
            return None
    return core_strength(test, terms=terms)


def _core_reasons(
    test: CoreTest, terms: Terms, made: CoreStrength | None
) -> Iterator[Reason]:
    found = (
        _was_tested(test),
        *(_size_of_cube(test) if _is_cube(test) else _size_of_core(test, terms)),
        _steel(test),
        _damage(test),
        None if _is_cube(test) else _edge(test, terms),
        _conditioning(test, terms),
        _age(test),
        _coring(test, terms),
        _stated(test, made),
        *(() if made is None else (factor_range(made), other_limit(made))),
    )
    return (reason for reason in found if reason is not None)


def _is_cube(test: CoreTest) -> bool:
    return test.specimen is Specimen.CUBE


def _size_of_core(test: CoreTest, terms: Terms) -> tuple[Reason | None, ...]:
    return _length(test), _length_drilled(test), _diameter(test, terms)


def _size_of_cube(test: CoreTest) -> tuple[Reason | None, ...]:
    """Look at the smaller and the larger side; a cube has no other size."""
    least, most = CUBE_SIDES
    asked = f"a cube of {least} to {most}"
    if test.d1 is None or test.d2 is None:
        state = _size_unknown(test)
        return (
            _reason(test, "side", asked, state, "sides not given", C1140_CUBE, least),
        )
    sides = [convert(side, to=least.unit).value for side in (test.d1, test.d2)]
    within = least.value <= min(sides) and max(sides) <= most.value
    state = State.PASS if within else State.NOT_TESTABLE
    found = f"sides {test.d1} and {test.d2}"
    return (_reason(test, "side", asked, state, found, C1140_CUBE),)


def _unknown(test: CoreTest) -> State:
    """Say what a thing nobody stated means: open once tested, not yet before."""
    return State.UNDECIDED if test.tested else State.NO_DATA


def _size_unknown(test: CoreTest) -> State:
    # A strength stated without sizes is the laboratory's own computation.
    stated = test.load is None and test.strength is not None
    return State.INFORMATION if stated else _unknown(test)


def _was_tested(test: CoreTest) -> Reason:
    state = State.PASS if test.tested else State.NO_DATA
    found = "tested" if test.tested else "not tested"
    if test.tested and test.tested_on is not None:
        found = f"tested on {test.tested_on}"
    return _reason(
        test, "test", f"the {test.specimen} was tested", state, found, TERMS_OF_ORDER
    )


def _length(test: CoreTest) -> Reason:
    asked = f"{LD_LEAST} to {LD_MOST} diameters long as tested"
    ratio = test.over_diameter(test.length)
    if ratio is None or test.length is None:
        found, state = "length or diameters not given", _size_unknown(test)
        return _reason(test, "length", asked, state, found, C42_LENGTH)
    nearer = LD_LEAST if ratio - LD_LEAST < LD_MOST - ratio else LD_MOST
    state = State.PASS
    found = f"{beside(ratio, nearer, places=3)} diameters long as tested"
    if ratio < LD_LEAST:
        state, found = State.NOT_TESTABLE, f"{found}, too short"
    elif ratio > LD_MOST:
        saw = f"to be sawn to {SAWN_LEAST:f} to {LD_MOST.normalize():f}"
        state, found = State.NOT_TESTABLE, f"{found}, {saw}"
    limit, over = _diameters(test, test.length, nearer)
    margin = over if nearer == LD_LEAST else Quantity(-over.value, over.unit)
    return _reason(test, "length", asked, state, found, C42_LENGTH, limit, margin)


def _length_drilled(test: CoreTest) -> Reason | None:
    ratio = test.over_diameter(test.length_drilled)
    if ratio is None or test.length_drilled is None:
        return None
    state = State.PASS if ratio >= DRILLED_LEAST else State.NOT_TESTABLE
    found = f"{beside(ratio, DRILLED_LEAST, places=3)} diameters long as drilled"
    limit, over = _diameters(test, test.length_drilled, DRILLED_LEAST)
    asked = f"at least {DRILLED_LEAST} diameters long as drilled"
    return _reason(test, "drilled length", asked, state, found, C42_LENGTH, limit, over)


def _diameters(
    test: CoreTest, length: Quantity, count: Decimal
) -> tuple[Quantity, Quantity]:
    """Return so many diameters as a length, and by how much a length exceeds them."""
    limit = count * (test.mean_diameter(length.unit) or Decimal(0))
    return Quantity(limit, length.unit), Quantity(length.value - limit, length.unit)


def _nominal(test: CoreTest, unit: str) -> Decimal | None:
    """Return the diameter a core was ordered with, else the measured mean.

    Places and sizes are laid out for the nominal diameter: a 3 in. barrel cuts a
    core of 3.06 in. and neither its size nor its place is wrong by that.
    """
    if test.diameter is not None:
        return convert(test.diameter, to=unit).value
    return test.mean_diameter(unit)


def _diameter(test: CoreTest, terms: Terms) -> Reason | None:
    least = terms.quantity("core_diameter_least")
    if least is None:
        return None
    asked, source = f"diameter at least {least}", terms.source("core_diameter_least")
    diameter = _nominal(test, least.unit)
    if diameter is None:
        found = "diameter not given"
        state = _size_unknown(test)
        return _reason(test, "diameter", asked, state, found, source, least)
    state = State.PASS if diameter >= least.value else State.NOT_TESTABLE
    found = f"{diameter:f} {least.unit} in diameter"
    margin = Quantity(diameter - least.value, least.unit)
    return _reason(test, "diameter", asked, state, found, source, least, margin)


def _steel(test: CoreTest) -> Reason:
    asked = f"no reinforcement in a {test.specimen} tested for strength"
    if not test.reinforcement:
        state, found = _unknown(test), "reinforcement not stated"
    elif test.reinforcement == CoreReinforcement.NONE:
        state, found = State.PASS, "no reinforcement"
    else:
        state, found = State.NOT_TESTABLE, f"holds {test.reinforcement}"
    return _reason(test, "reinforcement", asked, state, found, C1604_SOUND)


def _damage(test: CoreTest) -> Reason:
    asked = f"a damaged {test.specimen} is not tested for strength"
    state = State.NOT_TESTABLE if test.damage else State.PASS
    found = f"damaged: {test.damage}" if test.damage else "no damage noted"
    return _reason(test, "damage", asked, state, found, C1604_SOUND)


def _edge(test: CoreTest, terms: Terms) -> Reason | None:
    shape = test.shape
    limit = None if shape is None else edge_zone(shape, terms=terms)
    if shape is None or limit is None:
        return None
    unit, source = limit.unit, edge_source(terms)
    asked = f"the core's edge at least {limit} from the panel's edge"
    diameter = _nominal(test, unit)
    if test.place is None or diameter is None:
        found = "place or diameter not given"
        return _reason(test, "edge zone", asked, _unknown(test), found, source, limit)
    away = from_edge(test.place, shape, diameter=Quantity(diameter, unit)).value
    state = State.PASS if away >= limit.value else State.NOT_TESTABLE
    found = f"the core's edge {away.normalize():f} {unit} from the panel's edge"
    margin = Quantity(away - limit.value, unit)
    return _reason(test, "edge zone", asked, state, found, source, limit, margin)


def _conditioning(test: CoreTest, terms: Terms) -> Reason | None:
    wanted = terms.choice("conditioning")
    if wanted is None:
        return None
    source = terms.source("conditioning")
    if not test.conditioning:
        state, found = _unknown(test), "conditioning not stated"
    elif test.conditioning == wanted:
        state, found = State.PASS, test.conditioning
    else:
        # A drier core is a stronger one: not counted until somebody decides.
        state, found = State.UNDECIDED, f"{test.conditioning}, not {wanted}"
    return _reason(
        test, "conditioning", f"{wanted} before the test", state, found, source
    )


def _age(test: CoreTest) -> Reason | None:
    age = test.age
    if age is None:
        return None
    state = State.PASS if age == test.planned_age else State.CONDITION
    limit = Quantity(Decimal(test.planned_age), "d")
    margin = Quantity(Decimal(age - test.planned_age), "d")
    asked, found = f"tested at {test.planned_age} d", f"tested at {age} d"
    return _reason(test, "age", asked, state, found, C42_AGE, limit, margin)


def _coring(test: CoreTest, terms: Terms) -> Reason | None:
    least = terms.quantity("core_after")
    if least is None or test.shot_at is None or test.drilled_at is None:
        return None
    seconds = Decimal((test.drilled_at - test.shot_at) // timedelta(seconds=1))
    age = convert(Quantity(seconds, "s"), to=least.unit)
    state = State.PASS if age.value >= least.value else State.CONDITION
    text = beside(age.value, least.value, places=1)
    found = f"cored at {text} {least.unit}"
    margin = Quantity(age.value - least.value, least.unit)
    asked, source = f"not cored before {least}", terms.source("core_after")
    return _reason(test, "coring", asked, state, found, source, least, margin)


def _stated(test: CoreTest, made: CoreStrength | None) -> Reason | None:
    """Compare a stated strength with the load's, to one step of the report."""
    if test.load is None or test.strength is None or made is None:
        return None
    unit = made.exact.unit
    stated = convert(test.strength, to=unit).value
    step = report_step(unit)
    agree = abs(stated - made.reported.value) <= step
    state = State.PASS if agree else State.UNDECIDED
    found = f"stated {test.strength}, the load gives {made.reported}"
    asked = "the stated strength is the load's"
    return _reason(test, "stated strength", asked, state, found, TERMS_OF_ORDER)


def _reason(
    test: CoreTest,
    key: str,
    requirement: str,
    state: State,
    found: str,
    source: Source,
    limit: Quantity | None = None,
    margin: Quantity | None = None,
) -> Reason:
    return Reason(key, requirement, state, found, source, limit, margin, test.evidence)
