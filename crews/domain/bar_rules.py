"""What a contract's terms ask of bars, read once, so that equal questions are equal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from project.domain.term_kinds import CENTRE, CLEAR
from project.domain.terms import Terms
from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Reason, Source, State

NO_LIMIT = "no limit given"
_NOT_IN_FORCE = Source("contract", "no terms in force", known=Known.CONTRACT)
_ASKED = (
    "largest_bar",
    "largest_aggregate",
    "clear_least",
    "clear_diameters",
    "clear_nearer_diameters",
    "clear_small_bars",
    "clear_rule",
    "lap_rule",
)


@dataclass(frozen=True, slots=True)
class BarRules:
    """The terms about bars; nothing where they give no limit.

    Each is the term of its name. `sources` are pairs of a term's name and its source.
    Source: the terms.
    """

    largest_bar: str | None
    largest_aggregate: Quantity | None
    clear_least: Quantity | None
    clear_diameters: Decimal | None
    clear_nearer_diameters: Decimal | None
    clear_small_bars: str | None
    clear_rule: str | None
    lap_rule: str | None
    sources: tuple[tuple[str, Source], ...] = ()

    def source(self, *names: str) -> Source:
        """Return where the first of some terms that has a source comes from."""
        sources = dict(self.sources)
        return next((sources[name] for name in names if name in sources), _NOT_IN_FORCE)


def bar_rules(terms: Terms | None) -> BarRules:
    """Return what terms ask of bars; without terms in force, nothing is given.

    Raises ValueError for another `clear_rule` than clear or centre spacing.
    Source: the terms.

    >>> from datetime import date
    >>> from project.domain.editions import own_terms
    >>> rules = bar_rules(own_terms("ibc-2018-1908", revision=1,
    ...                             effective_on=date(2026, 7, 1)))
    >>> rules.largest_bar, str(rules.clear_least), rules.lap_rule
    ('No. 5', '2.5 in', '2 in')
    >>> bar_rules(None).largest_bar is None
    True
    """
    if terms is None:
        return BarRules(None, None, None, None, None, None, None, None)
    rule = terms.choice("clear_rule")
    if rule not in (None, CLEAR, CENTRE):
        raise ValueError(f"term clear_rule {rule!r}: allowed are {CLEAR}, {CENTRE}")
    return BarRules(
        largest_bar=terms.choice("largest_bar"),
        largest_aggregate=terms.quantity("largest_aggregate"),
        clear_least=terms.quantity("clear_least"),
        clear_diameters=terms.decimal("clear_diameters"),
        clear_nearer_diameters=terms.decimal("clear_nearer_diameters"),
        clear_small_bars=terms.choice("clear_small_bars"),
        clear_rule=rule,
        lap_rule=terms.choice("lap_rule"),
        sources=tuple(
            (name, terms.values[name].source) for name in _ASKED if name in terms.values
        ),
    )


def in_mm(length: Quantity) -> Decimal:
    """Return a length in millimetres [mm], in which all of them are compared.

    Raises ValueError for another dimension. Source: an inch is 25.4 mm, so that
    nothing of an inch is rounded.

    >>> in_mm(Quantity(Decimal("2.5"), "in"))
    Decimal('63.5')
    """
    return convert(length, to="mm").value


def larger_of(lengths: Sequence[Quantity]) -> Quantity:
    """Return the largest of some lengths, as typed; of equal ones the first.

    Raises ValueError for none. Source: arithmetic.

    >>> inch, metric = Quantity(Decimal("2.5"), "in"), Quantity(Decimal(64), "mm")
    >>> str(larger_of((inch, metric)))
    '64 mm'
    >>> larger_of(())
    Traceback (most recent call last):
    ValueError: lengths: none given; allowed is at least one
    """
    if not lengths:
        raise ValueError("lengths: none given; allowed is at least one")
    return max(lengths, key=in_mm)


def margin(found: Quantity, limit: Quantity) -> Quantity:
    """Return by how much a length exceeds a limit, in the limit's unit.

    Raises ValueError for another dimension. Source: arithmetic, in millimetres.

    >>> str(margin(Quantity(Decimal(8), "in"), Quantity(Decimal(200), "mm")))
    '3.2 mm'
    """
    over = Quantity(in_mm(found) - in_mm(limit), "mm")
    return convert(over, to=limit.unit)


def check_aggregate(aggregate: Quantity | None) -> None:
    """Refuse an aggregate's size that is no length above 0; none is not given.

    Raises ValueError naming it. Source: none needed, a size.

    >>> check_aggregate(Quantity(Decimal(0), "in"))
    Traceback (most recent call last):
    ValueError: aggregate 0 in: allowed is a length above 0
    """
    if aggregate is None:
        return
    if aggregate.dimension != "length" or aggregate.value <= 0:
        raise ValueError(f"aggregate {aggregate}: allowed is a length above 0")


def aggregate_size(aggregate: Quantity | None, *, terms: Terms | None) -> Reason:
    """Return whether the largest aggregate of a mix is within the contract's limit.

    Parameters
    ----------
    aggregate
        Nominal largest size [length]; nothing where nobody gave it.
    terms
        Give `largest_aggregate`.

    Pass or fail; undecided without a limit or a size. A mock-up does not cure a
    larger one. Raises ValueError for anything but a length above 0. Source: IBC
    2018, 1908.3 (read): 3/4 in.

    >>> from datetime import date
    >>> from project.domain.editions import own_terms
    >>> terms = own_terms("ibc-2018-1908", revision=1, effective_on=date(2026, 7, 1))
    >>> size = Quantity(Decimal("0.376"), "in")
    >>> aggregate_size(size, terms=terms).state.value
    'pass'
    """
    check_aggregate(aggregate)
    rules = bar_rules(terms)
    limit, source = rules.largest_aggregate, rules.source("largest_aggregate")
    if aggregate is None or limit is None:
        found = "not given" if aggregate is None else f"{aggregate}; {NO_LIMIT}"
        requirement = "aggregate within the contract's limit"
        if limit is not None:
            requirement = f"no aggregate larger than {limit}"
        return Reason(
            "aggregate", requirement, State.UNDECIDED, found, source, limit=limit
        )
    room = convert(margin(limit, aggregate), to=limit.unit)
    state = State.PASS if room.value >= 0 else State.FAIL
    return Reason(
        "aggregate",
        f"no aggregate larger than {limit}",
        state,
        f"largest aggregate {aggregate}",
        source,
        limit=limit,
        margin=room,
    )
