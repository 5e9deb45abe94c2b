"""What to order, in volume, loads and bags, as calculations that say what they take."""

from __future__ import annotations

from decimal import Decimal

from crews.domain.nozzle_volume import face_volume
from inspections.domain.ordering import (
    DATA_SHEET,
    DEFINED,
    Expected,
    bags_mass,
    order_volume,
    whole_loads,
)
from inspections.domain.volumes import GEOMETRY
from project.domain.calculation import Answer, Calculation, Field, Given, Kind
from project.domain.reporting import reported, rounding_words
from project.domain.terms import Terms
from project.domain.units import Quantity
from project.domain.working import Named, Step, Working

GROUP = "Placing and volumes"
NONE = Decimal(0)
_MOST_YD3, _MOST_FT2, _MOST_IN = Decimal(2000), Decimal(100_000), Decimal(240)
_METRIC = ("m", "mm", "m2", "mm2")


def volume_field(name: str, label: str, *, may_be_none: bool = True) -> Field:
    """Return the field of a volume up to 2,000 yd3; one that may be 0 may be left out.

    Source: project's choice.

    >>> volume_field("returned", "Returned").optional
    True
    """
    return Field(
        name,
        label,
        Kind.QUANTITY,
        unit="yd3",
        least=NONE if may_be_none else None,
        above=None if may_be_none else NONE,
        most=_MOST_YD3,
        optional=may_be_none,
    )


def area_field(*, optional: bool = False, name: str = "area") -> Field:
    """Return the field of an area, above 0 and up to 100,000 ft2.

    Source: project's choice.

    >>> area_field().unit
    'ft2'
    """
    most = _MOST_FT2
    return Field(
        *(name, "Area", Kind.QUANTITY),
        unit="ft2",
        above=NONE,
        most=most,
        optional=optional,
    )


def thickness_field(name: str, label: str, *, optional: bool = False) -> Field:
    """Return the field of a thickness, above 0 and up to 240 in.

    Source: project's choice.

    >>> thickness_field("design", "Thickness").unit
    'in'
    """
    return Field(
        *(name, label, Kind.QUANTITY),
        unit="in",
        above=NONE,
        most=_MOST_IN,
        optional=optional,
    )


def neat(area: Quantity, thickness: Quantity) -> Working:
    """Return a face's neat volume, in m3 where both are metric, else in yd3.

    Raises ValueError for an area or a thickness that is not above 0.
    Source: geometry.

    >>> wall = Quantity(Decimal(24), "m2"), Quantity(Decimal("1.5"), "m")
    >>> print(neat(*wall).exact)
    36 m3
    """
    metric = area.unit in _METRIC and thickness.unit in _METRIC
    unit = "m3" if metric else "yd3"
    made = face_volume(area, thickness=thickness, unit=unit)
    line = f"{area} × {thickness} = {reported(made)}"
    return Working(
        title="Neat volume",
        inputs=(Named("area", area), Named("design", thickness)),
        steps=(Step("neat", line, GEOMETRY),),
        exact=made,
        reported=reported(made),
        rounding=rounding_words(unit),
    )


def _order(given: Given, _: Terms) -> Answer:
    face = neat(given.quantity("area"), given.quantity("design"))
    extras = (given.quantity_or_none(name) for name in ("line", "panels"))
    shares = (given.quantity(name) for name in ("overbuild", "loss"))
    order = order_volume(face.exact, expected=Expected(*shares, *extras))
    figures = {"order": order, "neat": face}
    left_out = [name for name in ("line", "panels") if not given.has(name)]
    words = f"nothing added for {' and '.join(left_out)}" if left_out else ""
    if given.has("load"):
        load = given.quantity("load")
        figures["loads"] = whole_loads(order.exact, each=load)
    return Answer(figures, words=words)


def _bags(given: Given, _: Terms) -> Answer:
    bags = whole_loads(given.quantity("volume"), each=given.quantity("bag"), what="bag")
    figures = {"bags": bags}
    if given.has("bag_mass"):
        mass = given.quantity("bag_mass")
        figures["mass"] = bags_mass(bags.reported, mass=mass)
    return Answer(figures)


def _share(name: str, label: str, most: int) -> Field:
    return Field(
        name,
        label,
        Kind.QUANTITY,
        unit="percent",
        least=NONE,
        most=Decimal(most),
        note="as whoever orders expects it",
    )


CALCULATIONS = (
    Calculation(
        name="order-volume",
        title="Volume to order",
        group=GROUP,
        says="The face's neat volume, more for what is built too thick and lost, and "
        "what stays in the line and goes to panels; in whole loads where asked.",
        fields=(
            area_field(),
            thickness_field("design", "Thickness as drawn"),
            _share("overbuild", "Built too thick, of neat", 300),
            _share("loss", "Lost, of what is shot", 90),
            volume_field("line", "Stays in the line"),
            volume_field("panels", "Goes to panels"),
            Field(
                "load",
                "One truck holds",
                Kind.QUANTITY,
                unit="yd3",
                above=NONE,
                most=Decimal(20),
                optional=True,
            ),
        ),
        run=_order,
        sources=(DEFINED, GEOMETRY),
        example={
            "area": ["480", "ft2"],
            "design": ["9", "in"],
            "overbuild": ["3", "percent"],
            "loss": ["12", "percent"],
            "line": ["0.35", "yd3"],
            "panels": ["0.062", "yd3"],
            "load": ["9", "yd3"],
        },
    ),
    Calculation(
        name="bags",
        title="Bags for a volume",
        group=GROUP,
        says="How many bags hold a volume, by the yield on the bag's data sheet, and "
        "what they weigh dry.",
        fields=(
            volume_field("volume", "Volume wanted", may_be_none=False),
            Field(
                "bag",
                "Yield of one bag, from its data sheet",
                Kind.QUANTITY,
                unit="ft3",
                above=NONE,
                most=Decimal(100),
            ),
            Field(
                "bag_mass",
                "Mass of one bag, from its data sheet",
                Kind.QUANTITY,
                unit="lb",
                above=NONE,
                most=Decimal(5000),
                optional=True,
            ),
        ),
        run=_bags,
        sources=(DATA_SHEET, DEFINED),
        example={
            "volume": ["50", "ft3"],
            "bag": ["0.50", "ft3"],
            "bag_mass": ["50", "lb"],
        },
    ),
)
