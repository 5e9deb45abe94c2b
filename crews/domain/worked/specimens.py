"""What a calculation is told of one core or cube, the same in all of them."""

from __future__ import annotations

from decimal import Decimal

from crews.domain.core_facts import CoreTest, Specimen
from crews.domain.trade_words import CoreReinforcement
from project.domain.calculation import Field, Given, Kind
from project.domain.term_kinds import AS_RECEIVED, SEALED, SOAKED

_ABOVE = Decimal(0)
NOT_STATED = "left out: not stated"


def length_field(
    name: str, label: str, *, most: int = 12, optional: bool = False, note: str = ""
) -> Field:
    """Return a length above 0 and at most so much [in], any whole number of it.

    Source: project's choice of form.

    >>> length_field("d1", "First diameter").allowed
    'a number above 0 and at most 12 in; units m, mm, in, ft, yd'
    """
    return Field(
        name,
        label,
        Kind.QUANTITY,
        unit="in",
        above=_ABOVE,
        most=Decimal(most),
        optional=optional,
        note=note,
    )


def load_field(*, optional: bool = False) -> Field:
    """Return a breaking load, first in lbf. Source: project's choice of form.

    >>> load_field().unit
    'lbf'
    """
    return Field(
        "load",
        "Breaking load",
        Kind.QUANTITY,
        unit="lbf",
        above=_ABOVE,
        most=Decimal(1_200_000),
        optional=optional,
    )


def strength_field(name: str, label: str, *, optional: bool = False) -> Field:
    """Return a strength, first in psi. Source: project's choice of form.

    >>> strength_field("f_c", "f_c").allowed
    'a number above 0 and at most 50,000 psi; units Pa, kPa, MPa, psi'
    """
    return Field(
        name,
        label,
        Kind.QUANTITY,
        unit="psi",
        above=_ABOVE,
        most=Decimal(50_000),
        optional=optional,
    )


SEEN = (
    Field(
        "reinforcement",
        "Metal in it",
        Kind.CHOICE,
        choices=tuple(CoreReinforcement),
        optional=True,
        note=NOT_STATED,
    ),
    Field("damage", "Damage", Kind.WORDS, optional=True, note="left out: none noted"),
    Field(
        "conditioning",
        "Before the test",
        Kind.CHOICE,
        choices=(SOAKED, SEALED, AS_RECEIVED),
        optional=True,
        note=NOT_STATED,
    ),
)
DENSITY = Field(
    "density",
    "Density, of lightweight concrete",
    Kind.QUANTITY,
    unit="pcf",
    above=_ABOVE,
    most=Decimal(400),
    optional=True,
)


def specimen_of(
    given: Given, name: str, *, age: int, kind: Specimen = Specimen.CORE
) -> CoreTest:
    """Return one core or cube from the inputs there are, ordered for an age [d].

    Raises ValueError for a figure no specimen can have. Source: `CoreTest`.

    >>> specimen_of(Given({}), "1", age=28).core
    '1'
    """
    return CoreTest(
        name,
        planned_age=age,
        specimen=kind,
        d1=given.quantity_or_none("d1"),
        d2=given.quantity_or_none("d2"),
        diameter=given.quantity_or_none("diameter"),
        length=given.quantity_or_none("length"),
        length_drilled=given.quantity_or_none("length_drilled"),
        load=given.quantity_or_none("load"),
        strength=given.quantity_or_none("strength"),
        density=given.quantity_or_none("density"),
        reinforcement=given.word("reinforcement"),
        damage=given.word("damage"),
        conditioning=given.word("conditioning"),
    )
