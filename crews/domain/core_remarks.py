"""What is said beside a core's strength and changes nothing.

A factor beyond the concrete it is for, and the other limit of correction where it
would give another strength: both for whoever reads the figure, neither a verdict.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal

from crews.domain.core_strength import C42_FACTOR, CoreStrength
from project.domain.showing import beside
from project.domain.verdict import Reason, Source, State

FACTORS_HOLD = Source("ASTM C42/C42M", "concrete the correction factors are for")

# Unit -> the strengths, and the densities of lightweight concrete, the factors are for
# (ASTM C42/C42M, from memory).
FACTOR_STRENGTHS: Mapping[str, tuple[Decimal, Decimal]] = {
    "psi": (Decimal(2000), Decimal(6000)),
    "MPa": (Decimal(14), Decimal(42)),
}
FACTOR_DENSITIES: Mapping[str, tuple[Decimal, Decimal]] = {
    "pcf": (Decimal(100), Decimal(120)),
    "kg/m3": (Decimal(1600), Decimal(1920)),
}

_PLACES = {"psi": 1, "MPa": 3}


def factor_range(made: CoreStrength) -> Reason | None:
    """Say that a factor was used beyond the concrete it is for; nothing where it was not.

    Parameters
    ----------
    made
        A core's strength [psi or MPa]; its test has a density [pcf or kg/m3] where it
        is of lightweight concrete.

    Source: ASTM C42/C42M, normal weight, or lightweight of 100 to 120 lb/ft3 (1600 to
    1920 kg/m3), 2000 to 6000 psi (14 to 42 MPa) (from memory).

    >>> from crews.domain.core_facts import CoreTest
    >>> from project.domain.terms import Terms
    >>> from project.domain.units import Quantity
    >>> from datetime import date
    >>> made = CoreStrength(
    ...     Quantity(Decimal(6100), "psi"), CoreTest("1", planned_age=28), "1.75 or less",
    ...     Terms(1, "", date(2026, 7, 1), {}), Decimal("1.5"), Decimal("0.96"))
    >>> factor_range(made).found
    '6100.0 psi, the factors are for 2000 to 6000 psi'
    """
    if made.factor is None or made.factor == 1:
        return None
    found = "; ".join(_beyond(made))
    return _remark(made, "factor range", found, FACTORS_HOLD) if found else None


def _beyond(made: CoreStrength) -> Iterator[str]:
    unit, strength = made.exact.unit, made.exact.value
    least, most = FACTOR_STRENGTHS[unit]
    if not least <= strength <= most:
        nearer = least if strength < least else most
        shown = beside(strength, nearer, places=_PLACES[unit])
        yield f"{shown} {unit}, the factors are for {least} to {most} {unit}"
    density = made.test.density
    if density is not None:
        least, most = FACTOR_DENSITIES[density.unit]
        if not least <= density.value <= most:
            held = f"{least} to {most} {density.unit} and for normal weight"
            yield f"lightweight of {density}, the factors are for {held}"


def other_limit(made: CoreStrength) -> Reason | None:
    """Show both strengths where the two limits of correction part over a core.

    Parameters
    ----------
    made
        A core's strength [psi or MPa] by the limit in use.

    Nothing where both give the same. Source: ASTM C39/C39M, 1.75 or less (from memory);
    an older C42 and UFGS 03371, under 1.94 D (read).

    >>> from crews.domain.core_facts import CoreTest
    >>> from project.domain.terms import Terms
    >>> from project.domain.units import Quantity
    >>> from datetime import date
    >>> size = {name: Quantity(Decimal(v), "in")
    ...         for name, v in (("d1", "3.00"), ("d2", "3.00"), ("length", "5.30"))}
    >>> test = CoreTest("1", planned_age=28, load=Quantity(Decimal(32000), "lbf"), **size)
    >>> terms = Terms(1, "", date(2026, 7, 1), {})
    >>> made = CoreStrength(Quantity(Decimal("4527.1"), "psi"), test, "1.75 or less",
    ...                     terms, Decimal("5.30") / 3, Decimal(1))
    >>> other_limit(made).found
    'corrected 1.75 or less, used: 4530 psi; under 1.94: 4440 psi'
    """
    other = made.otherwise
    if other is None:
        return None
    found = (
        f"corrected {made.limit}, used: {made.reported}; "
        f"{other.limit}: {other.reported}"
    )
    return _remark(made, "correction limit", found, C42_FACTOR)


_ASKED = {
    "factor range": "concrete the correction factors are for",
    "correction limit": "corrected where length over diameter asks for it",
}


def _remark(made: CoreStrength, key: str, found: str, source: Source) -> Reason:
    evidence = made.test.evidence
    return Reason(key, _ASKED[key], State.INFORMATION, found, source, evidence=evidence)
