"""What to order for a face: its volume, whole truck loads, whole bags.

Order = neat x (1 + overbuild) / (1 - loss) + line + panels; how much is lost and how
much is built too thick is what whoever orders expects, and there is no default.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

from project.domain.reporting import reported, rounding_words
from project.domain.showing import short
from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Source
from project.domain.working import Named, Step, Working

DEFINED = Source("volume to order, as defined here", known=Known.PROJECT)
DATA_SHEET = Source("the bag's data sheet, as typed", known=Known.TYPED)
WHOLE = "up to a whole number"
_PLACES = 12


@dataclass(frozen=True, slots=True)
class Expected:
    """What is expected to be lost and built too thick, and what goes elsewhere.

    `overbuild` of the neat volume [share], 0 or more; `loss` of what is shot [share],
    0 and below 100 %; `line` and `panels` [volume], 0 or more. Raises ValueError naming
    what is out of range. Source: whoever orders.

    >>> Expected(Quantity(Decimal(3), "percent"), Quantity(Decimal(100), "percent"))
    Traceback (most recent call last):
    ValueError: loss 100 percent: allowed is 0 and below 100 percent
    """

    overbuild: Quantity
    loss: Quantity
    line: Quantity | None = None
    panels: Quantity | None = None

    def __post_init__(self) -> None:
        if self.overbuild.dimension != "share" or self.overbuild.value < 0:
            raise ValueError(
                f"overbuild {self.overbuild}: a share of 0 or more is needed"
            )
        if self.loss.dimension != "share" or not 0 <= _ratio(self.loss) < 1:
            allowed = "allowed is 0 and below 100 percent"
            raise ValueError(f"loss {self.loss}: {allowed}")
        for name in ("line", "panels"):
            given = getattr(self, name)
            if given is not None and (given.dimension != "volume" or given.value < 0):
                raise ValueError(f"{name} {given}: a volume of 0 or more is needed")


def _ratio(share: Quantity) -> Decimal:
    return convert(share, to="1").value


def order_volume(neat: Quantity, *, expected: Expected) -> Working:
    """Return the volume to order, in the unit of the neat volume.

    Raises ValueError for a neat volume that is none above 0. Source: project's choice
    of definition.

    >>> three, twelve = Quantity(Decimal(3), "percent"), Quantity(Decimal(12), "percent")
    >>> extra = Quantity(Decimal("0.35"), "yd3"), Quantity(Decimal("0.062"), "yd3")
    >>> wall = Quantity(Decimal(40) / 3, "yd3")
    >>> print(order_volume(wall, expected=Expected(three, twelve, *extra)).reported)
    16.02 yd3
    """
    if neat.dimension != "volume" or neat.value <= 0:
        raise ValueError(f"neat {neat}: a volume above 0 is needed")
    over, loss = _ratio(expected.overbuild), _ratio(expected.loss)
    extras = [(n, getattr(expected, n)) for n in ("line", "panels")]
    given = [(name, q) for name, q in extras if q is not None]
    more = [convert(q, to=neat.unit).value for _, q in given]
    value = neat.value * (1 + over) / (1 - loss) + sum(more, Decimal(0))
    exact = Quantity(value, neat.unit)
    plus = "".join(f" + {short(each)}" for each in more)
    line = f"{short(neat.value)} × (1 + {short(over)}) / (1 - {short(loss)}){plus}"
    shares = (("overbuild", expected.overbuild), ("loss", expected.loss))
    return Working(
        title="Volume to order",
        inputs=tuple(Named(n, q) for n, q in (("neat", neat), *shares, *given)),
        steps=(Step("order", f"{line} = {short(value)} {neat.unit}", DEFINED),),
        exact=exact,
        reported=reported(exact),
        rounding=rounding_words(neat.unit),
    )


def whole_loads(volume: Quantity, *, each: Quantity, what: str = "load") -> Working:
    """Return how many loads or bags hold a volume: the next whole number.

    Parameters
    ----------
    volume
        What is wanted [volume], above 0.
    each
        What one holds [volume], above 0: a truck's load, or a bag's yield as its data
        sheet gives it.

    Raises ValueError for what is no volume above 0. Source: arithmetic.

    >>> sixteen, nine = Quantity(Decimal("16.02"), "yd3"), Quantity(Decimal(9), "yd3")
    >>> print(whole_loads(sixteen, each=nine).reported)
    2
    """
    for name, given in (("volume", volume), (what, each)):
        if given.dimension != "volume" or given.value <= 0:
            raise ValueError(f"{name} {given}: a volume above 0 is needed")
    ratio = volume.value / convert(each, to=volume.unit).value
    # What only a conversion's last digit adds orders no further truck.
    count = Quantity(round(ratio, _PLACES).to_integral_value(ROUND_CEILING), "1")
    line = f"{short(volume.value)} {volume.unit} / {each} = {short(ratio)}"
    return Working(
        title=f"Whole {what}s",
        inputs=(Named("volume", volume), Named(what, each)),
        steps=(Step(f"{what}s", f"{line}, so {count}", DEFINED),),
        exact=Quantity(ratio, "1"),
        reported=count,
        rounding=WHOLE,
    )


def bags_mass(bags: Quantity, *, mass: Quantity) -> Working:
    """Return what a number of bags weighs dry. Raises ValueError for no mass above 0.

    Source: the bag's data sheet, as typed.

    >>> fifty = Quantity(Decimal(50), "lb")
    >>> print(bags_mass(Quantity(Decimal(100), "1"), mass=fifty).reported)
    5000 lb
    """
    if mass.dimension != "mass" or mass.value <= 0:
        raise ValueError(f"bag_mass {mass}: a mass above 0 is needed")
    total = Quantity(bags.value * mass.value, mass.unit)
    return Working(
        title="Mass of the bags, dry",
        inputs=(Named("bags", bags), Named("bag_mass", mass)),
        steps=(Step("mass", f"{bags} × {mass} = {total}", DATA_SHEET),),
        exact=total,
        reported=reported(total),
        rounding=rounding_words(mass.unit),
    )
