"""The cores or cubes that are judged together, and the day their result is due."""

from __future__ import annotations

from dataclasses import KW_ONLY, dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from crews.domain.core_facts import CoreTest, Specimen, check_measure
from project.domain.terms import Terms
from project.domain.units import Quantity, convert


@dataclass(frozen=True, slots=True)
class StrengthSet:
    """The cores of one panel, or of one place in the work, ordered for one age.

    `age` is theirs, `test_age` the one at which f_c is asked (the mix revision's;
    nothing: the contract's `core_age`) [d]. A set holds cores or cubes, never both:
    their shares of f_c differ. `shot_on` puts panels in their order; the run of a
    mixture needs it.

    Raises ValueError for an f_c no concrete has, a core ordered for another age, or a
    specimen of another kind. Source: IBC 2009, 1913.10.3, cores and cubes apart (read).

    >>> core = CoreTest("1", planned_age=28)
    >>> StrengthSet("TP-1", mix="W-40", f_c=Quantity(Decimal(4000), "psi"), age=28,
    ...             due_on=date(2026, 9, 1), cores=(core,), specimen=Specimen.CUBE)
    Traceback (most recent call last):
    ValueError: specimen of 1: core; the set's is cube, and kinds are never mixed
    """

    panel: str
    _: KW_ONLY
    mix: str
    f_c: Quantity
    age: int
    due_on: date
    cores: tuple[CoreTest, ...]
    test_age: int | None = None
    specimen: Specimen = Specimen.CORE
    shot_on: date | None = None

    def __post_init__(self) -> None:
        try:
            check_measure("strength", self.f_c)
        except ValueError as error:
            raise ValueError(f"f_c of {self.mix}: {error}") from None
        for core in self.cores:
            if core.planned_age != self.age:
                given = f"planned_age {core.planned_age} d"
                raise ValueError(f"core {core.core}: {given}; the set's is {self.age}")
            if core.specimen is not self.specimen:
                kinds = f"the set's is {self.specimen}, and kinds are never mixed"
                raise ValueError(f"specimen of {core.core}: {core.specimen}; {kinds}")

    def is_early(self, terms: Terms) -> bool:
        """Whether it is younger than f_c's age: for information, never a pass."""
        age = self.test_age
        if age is None:
            asked = terms.quantity("core_age")
            age = 0 if asked is None else int(convert(asked, to="d").value)
        return self.age < age


class Due(StrEnum):
    """How the day a result is due lies to a date."""

    NOT_DUE = "not due"
    TODAY = "due today"
    AWAITED = "awaited"
    OVERDUE = "overdue"


def due(due_on: date, *, terms: Terms, on: date) -> Due:
    """Return how a due day stands on a date.

    `result_overdue_after` of the terms [d] is the patience after the due day.
    Source: common practice, no source.

    >>> from project.domain.editions import resolve
    >>> terms = resolve("ibc-2018-1908", revision=1, effective_on=date(2026, 7, 1),
    ...                 departures={})
    >>> str(due(date(2026, 9, 14), terms=terms, on=date(2026, 9, 18)))
    'overdue'
    """
    late = (on - due_on).days
    if late <= 0:
        return Due.TODAY if late == 0 else Due.NOT_DUE
    patience = terms.quantity("result_overdue_after")
    days = Decimal(0) if patience is None else convert(patience, to="d").value
    return Due.OVERDUE if late > days else Due.AWAITED
