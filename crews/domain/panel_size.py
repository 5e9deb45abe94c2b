"""Whether a test panel is as large as the contract's document asks.

Documents ask different sizes: 18 in is enough for one code and short of the practice
that another one names. Which holds is the terms' to say; a short panel keeps its cores.
"""

from __future__ import annotations

from collections.abc import Iterator

from crews.domain.core_facts import PanelShape
from project.domain.terms import Terms
from project.domain.units import Quantity, convert
from project.domain.verdict import Reason, State, Verdict, worst

NO_LIMIT = "no limit given"
PANEL_SIZE_TERMS = (
    "panel_side_least",
    "panel_side_least_fine",
    "fine_aggregate_most",
    "panel_depth_least",
)

_RULE = "a panel is no smaller than the document asks"


def judge_panel_size(
    shape: PanelShape, *, aggregate: Quantity | None, terms: Terms
) -> Verdict:
    """Return whether a panel's shorter side and its depth are enough.

    Parameters
    ----------
    shape
        The panel's length, width and depth [length], each above 0.
    aggregate
        The mix's largest aggregate [length], or nothing where it is not known.
    terms
        Read for `panel_side_least`, `panel_side_least_fine`, `fine_aggregate_most`
        and `panel_depth_least`.

    Exactly on a limit is enough. Where the document asks less of fine aggregate and
    the aggregate is not known, a side between the two is undecided. What nobody asks
    is information. Raises ValueError for a measure that is not above 0 or is no
    length. Source: the terms; IBC 2009, 1913.10.2 (read), ASTM C1140-11 and ACI
    506.2-13 (read as quoted).

    >>> from datetime import date
    >>> from decimal import Decimal
    >>> from project.domain.editions import resolve
    >>> def judged(key):
    ...     terms = resolve(key, revision=1, effective_on=date(2026, 7, 1), departures={})
    ...     sides = (Quantity(Decimal(side), "in") for side in (18, 18, 5))
    ...     return judge_panel_size(PanelShape(*sides), aggregate=None, terms=terms)
    >>> judged("ibc-2018-1908").state.value, judged("aci-318-2019").state.value
    ('pass', 'fail')
    """
    sides = {"length": shape.length, "width": shape.width, "depth": shape.depth}
    if aggregate is not None:
        sides["aggregate"] = aggregate
    for name, size in sides.items():
        if size.dimension != "length" or size.value <= 0:
            raise ValueError(f"{name} {size}: a length above 0 is needed")
    reasons = tuple(_reasons(shape, aggregate, terms))
    asked = [reason for reason in reasons if reason.state is not State.INFORMATION]
    return Verdict(worst(asked) if asked else State.UNDECIDED, _RULE, reasons)


def _reasons(
    shape: PanelShape, aggregate: Quantity | None, terms: Terms
) -> Iterator[Reason]:
    side = min((shape.length, shape.width), key=lambda q: convert(q, to="mm").value)
    yield _side(side, aggregate, terms)
    yield _compared("depth", shape.depth, "panel_depth_least", terms)


def _side(side: Quantity, aggregate: Quantity | None, terms: Terms) -> Reason:
    coarse, fine = "panel_side_least", "panel_side_least_fine"
    most = terms.quantity("fine_aggregate_most")
    if terms.quantity(fine) is None or most is None:
        return _compared("side", side, coarse, terms)
    if aggregate is not None:
        is_fine = _over(aggregate, most).value <= 0
        return _compared("side", side, fine if is_fine else coarse, terms)
    any_aggregate = _compared("side", side, coarse, terms)
    if any_aggregate.state is not State.FAIL:
        return any_aggregate
    only_fine = _compared("side", side, fine, terms)
    if only_fine.state is State.FAIL:
        return only_fine
    return Reason(
        key="side",
        requirement=f"{any_aggregate.requirement}, or {only_fine.limit} where the "
        f"aggregate is at most {most}",
        state=State.UNDECIDED,
        found=f"{side}, aggregate not given",
        source=terms.source(fine),
    )


def _compared(key: str, found: Quantity, name: str, terms: Terms) -> Reason:
    limit = terms.quantity(name)
    if limit is None:
        source = terms.source(name)
        return Reason(key, f"{key}: {NO_LIMIT}", State.INFORMATION, f"{found}", source)
    margin = _over(found, limit)
    return Reason(
        key=key,
        requirement=f"{key} at least {limit}",
        state=State.PASS if margin.value >= 0 else State.FAIL,
        found=f"{found}",
        source=terms.source(name),
        limit=limit,
        margin=margin,
    )


def _over(found: Quantity, limit: Quantity) -> Quantity:
    """Return how far a length lies over another, in the other's unit."""
    return Quantity(convert(found, to=limit.unit).value - limit.value, limit.unit)
