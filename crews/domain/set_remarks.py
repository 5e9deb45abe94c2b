"""What is said of a set beside its verdict: who is left out, and how wide it scatters.

A wide scatter asks somebody to look at the test; it is never a ground to leave a core
out, and never changes a verdict.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal

from crews.domain.core_validity import Examined
from project.domain.showing import beside
from project.domain.verdict import Known, Reason, Source, State

LOOK_AGAIN = Source(
    "ASTM C42/C42M",
    "single-operator precision, as a prompt to look at the test, never to drop a core",
)
ERRATIC = Source(
    "IBC 1913.10.3 2009 has erratic results retested and does not say what they are; "
    "15 percent off the others is the project's choice",
    known=Known.PROJECT,
)

# Number of cores -> the range that is rarely exceeded, as a share of their mean: 3.2 %
# times the multipliers of ASTM C670 (both from memory; three cores 10.6 %, derived).
RANGES_EXPECTED: Mapping[int, Decimal] = {
    2: Decimal("0.090"),
    3: Decimal("0.106"),
    4: Decimal("0.115"),
    5: Decimal("0.125"),
}
# A core farther than this from the mean of the others is looked at (project's choice).
ERRATIC_OFF = Decimal("0.15")


def scatter(counted: Sequence[tuple[str, Decimal]], *, unit: str) -> Iterator[Reason]:
    """Yield a prompt for a set that scatters wide and for each erratic core.

    Parameters
    ----------
    counted
        Name and strength of each core of a complete set [unit].
    unit
        Their unit of pressure.

    All are information; any strengths above 0 will do. Source: ASTM C42/C42M and C670, precision (from memory); the
    15 percent is the project's choice, for IBC 2009 1913.10.3 does not say.

    >>> cores = [("1", Decimal(4000)), ("2", Decimal(4100)), ("3", Decimal(3400))]
    >>> [reason.found for reason in scatter(cores, unit="psi")]
    ['range 700.0 psi, 18.3 % of the mean', '3: 16.0 % off the mean of the others']
    """
    strengths = [strength for _, strength in counted]
    most = RANGES_EXPECTED.get(len(strengths))
    mean = sum(strengths, Decimal(0)) / len(strengths)
    spread = max(strengths) - min(strengths)
    if most is not None and spread > most * mean:
        percent = beside(100 * spread / mean, 100 * most, places=1)
        yield Reason(
            "scatter",
            f"a range above {100 * most:.1f} % of the mean of {len(strengths)}: "
            "look at the test",
            State.INFORMATION,
            f"range {spread:.1f} {unit}, {percent} % of the mean",
            LOOK_AGAIN,
        )
    if len(strengths) > 2:
        yield from _erratic(counted)


def _erratic(counted: Sequence[tuple[str, Decimal]]) -> Iterator[Reason]:
    total = sum((strength for _, strength in counted), Decimal(0))
    for name, strength in counted:
        others = (total - strength) / (len(counted) - 1)
        off = abs(strength - others)
        if off > ERRATIC_OFF * others:
            percent = beside(100 * off / others, 100 * ERRATIC_OFF, places=1)
            yield Reason(
                "erratic",
                f"more than {100 * ERRATIC_OFF:.0f} % off the others: look at the test",
                State.INFORMATION,
                f"{name}: {percent} % off the mean of the others",
                ERRATIC,
            )


def left_out(examined: Sequence[Examined]) -> Iterator[Reason]:
    """Yield for each core that is left out, open or flagged why it is.

    Source: `core_validity`.

    >>> list(left_out(()))
    []
    """
    for state, key in (
        (State.NOT_TESTABLE, "not counted"),
        (State.UNDECIDED, "not decided"),
        (State.CONDITION, "counted, but"),
    ):
        for core in examined:
            if core.validity.state is not state:
                continue
            why = [r for r in core.validity.reasons if r.state is state]
            is_open = state is State.UNDECIDED
            yield Reason(
                key,
                "; ".join(r.requirement for r in why),
                state if is_open else State.INFORMATION,
                f"{core.test.core}: {'; '.join(r.found for r in why)}",
                why[0].source,
                evidence=core.test.evidence,
            )
