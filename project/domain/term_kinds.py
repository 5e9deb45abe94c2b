"""Every name a contract's terms may give, and what its value may be.

One table: the settings form is drawn from it and every departure is checked
against it. A term without a value reads "not given", and nothing is assumed in
its place; only terms marked `required` must have one. The numbers themselves
stand in `project.domain.editions`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from project.domain.units import units_of

Value = str | bool | Decimal | None


class Shape(StrEnum):
    """What kind of value a term takes."""

    NUMBER = "number"
    QUANTITY = "number with unit"
    CHOICE = "choice"
    FLAG = "yes or no"


@dataclass(frozen=True, slots=True)
class TermKind:
    """The shape of one term, the limits of its value, and its words on a form.

    `least` and `most` bound plain numbers and are allowed themselves; `positive`
    asks a quantity to be above zero in whatever unit it is typed.
    """

    group: str
    label: str
    shape: Shape
    dimension: str = ""
    choices: tuple[str, ...] = ()
    required: bool = False
    positive: bool = True
    whole: bool = False
    least: Decimal | None = None
    most: Decimal | None = None
    note: str = ""

    @property
    def units(self) -> tuple[str, ...]:
        """The units a quantity may be typed in; empty for other shapes."""
        return units_of(self.dimension) if self.dimension else ()

    @property
    def allowed(self) -> str:
        """What the value may be, in words.

        >>> TERM_KINDS["core_average"].allowed
        'a number from 0.01 to 1'
        """
        if self.shape is Shape.CHOICE:
            return "one of " + ", ".join(self.choices)
        if self.shape is Shape.FLAG:
            return "yes or no"
        if self.shape is Shape.QUANTITY:
            above = " above 0" if self.positive else ""
            return f"a number{above} in one of {', '.join(self.units)}"
        number = "a whole number" if self.whole else "a number"
        low = "" if self.least is None else f" from {self.least}"
        return number + low + ("" if self.most is None else f" to {self.most}")


def _choice(
    group: str, label: str, *choices: str, required: bool = False, note: str = ""
) -> TermKind:
    return TermKind(
        group, label, Shape.CHOICE, choices=choices, required=required, note=note
    )


def _flag(
    group: str, label: str, *, required: bool = False, note: str = ""
) -> TermKind:
    return TermKind(group, label, Shape.FLAG, required=required, note=note)


def _quantity(
    group: str,
    label: str,
    dimension: str,
    *,
    required: bool = False,
    positive: bool = True,
    note: str = "",
) -> TermKind:
    return TermKind(
        group,
        label,
        Shape.QUANTITY,
        dimension=dimension,
        required=required,
        positive=positive,
        note=note,
    )


def _count(
    group: str, label: str, *, least: int = 1, required: bool = False, note: str = ""
) -> TermKind:
    return TermKind(
        group,
        label,
        Shape.NUMBER,
        whole=True,
        least=Decimal(least),
        required=required,
        note=note,
    )


def _ratio(group: str, label: str) -> TermKind:
    # At most 1: somebody who types 85 for 0.85 is told, not believed.
    low, high = Decimal("0.01"), Decimal(1)
    return TermKind(group, label, Shape.NUMBER, required=True, least=low, most=high)


_PANELS = "Test panels owed"
_CORES = "Cores and strength"
_PEOPLE = "Nozzle operators"
_PLACING = "Placing"
_RECORD = "Inspection and record"
_KEPT = "kept and printed; nothing is judged by it yet"

WORK_DATE, SHIFT = "work date", "shift"
PER_MIX, PER_OPERATOR = "mix", "mix and operator"
GLOBAL, PER_CELL = "global", "per cell"
STRICT, ROUNDED = "strict", "rounded"
LD_175, LD_194 = "1.75 or less", "under 1.94"
SOAKED, SEALED, AS_RECEIVED = "soaked", "sealed", "as received"
NO_PARTS, MARKED_PARTS = "no part", "parts marked for it"
EDITION_CLEARANCE, MOCK_UP_CLEARANCE = "as the edition says", "as the mock-up showed"
CLEAR, CENTRE = "clear spacing", "centre spacing"
AGENCY = "inspection agency"

TERM_KINDS: Mapping[str, TermKind] = {
    "panel_period": _choice(_PANELS, "Counted by", WORK_DATE, SHIFT, required=True),
    "panel_per": _choice(
        _PANELS, "At least one for each", PER_MIX, PER_OPERATOR, required=True
    ),
    "panel_position": _flag(
        _PANELS, "Each position is counted by itself", required=True
    ),
    "panel_volume": _quantity(_PANELS, "Not fewer than one for each", "volume"),
    "panel_count": _choice(
        _PANELS,
        "The larger count is taken",
        GLOBAL,
        PER_CELL,
        required=True,
        note="global: over all who shot the mix; per cell: for each of them",
    ),
    "volume_basis": _choice(
        _PANELS,
        "Volume counted",
        "delivered and accepted",
        "pumped",
        "in place",
        "neat",
    ),
    "panel_curing": _choice(
        _PANELS,
        "Panels are cured",
        "as the work",
        "moist in the laboratory after cover in the field",
        note=_KEPT,
    ),
    "panel_still": _quantity(_PANELS, "Not moved before", "time", note=_KEPT),
    "core_count": _count(_CORES, "Cores to a set", required=True),
    "core_age": _quantity(
        _CORES,
        "Age at test",
        "time",
        required=True,
        note="a mix revision's own age comes first",
    ),
    "early_core_count": _count(_CORES, "Early cores", least=0),
    "early_core_age": _quantity(
        _CORES, "Age of early cores", "time", note="for information, never a pass"
    ),
    "strength_unit": _choice(
        _CORES, "Strength is computed in", "psi", "MPa", required=True
    ),
    "core_average": _ratio(_CORES, "Mean of the set, share of f_c"),
    "core_single": _ratio(_CORES, "Each core, share of f_c"),
    "core_rounding": _choice(
        _CORES,
        "Shares are compared",
        STRICT,
        ROUNDED,
        required=True,
        note="strict: unrounded; rounded: to whole percent. Both are shown where "
        "they differ",
    ),
    "ld_limit": _choice(
        _CORES,
        "Corrected where length over diameter is",
        LD_175,
        LD_194,
        required=True,
    ),
    "conditioning": _choice(
        _CORES, "Cores before the test", SOAKED, SEALED, AS_RECEIVED
    ),
    "core_diameter_least": _quantity(_CORES, "Least core diameter", "length"),
    "edge_zone_depths": TermKind(
        _CORES,
        "Edge zone, panel depths",
        Shape.NUMBER,
        least=Decimal(0),
        note="no part of a core lies nearer to the panel's edge than this many "
        "panel depths and the length below",
    ),
    "edge_zone_add": _quantity(_CORES, "Edge zone, and beside that", "length"),
    "core_after": _quantity(_CORES, "Not cored before", "time"),
    "result_overdue_after": _quantity(_CORES, "A result is overdue after", "time"),
    "card_last_day_inclusive": _flag(
        _PEOPLE, "A card is good through its printed day", required=True
    ),
    "idle_limit": _quantity(
        _PEOPLE, "Longest time without shooting", "time", note=_KEPT
    ),
    "idle_per_process": _flag(_PEOPLE, "Counted by process", note=_KEPT),
    "trainee_ratio": _count(_PEOPLE, "Trainees to one supervisor"),
    "trainee_parts": _choice(
        _PEOPLE,
        "Trainees may shoot",
        NO_PARTS,
        MARKED_PARTS,
        required=True,
        note="each part says whether it is marked",
    ),
    "bar_clearance": _choice(
        _PLACING,
        "Clear spacing of bars",
        EDITION_CLEARANCE,
        MOCK_UP_CLEARANCE,
        note=_KEPT,
    ),
    "clear_rule": _choice(
        _PLACING,
        "Bar diameters asked between two curtains are",
        CLEAR,
        CENTRE,
        note="both are printed with the choice",
    ),
    "pass_vertical": _quantity(_PLACING, "Thickest pass, vertical", "length"),
    "pass_overhead": _quantity(_PLACING, "Thickest pass, overhead", "length"),
    "thickness_low": _quantity(
        _PLACING, "Thickness, least deviation", "length", positive=False
    ),
    "thickness_high": _quantity(
        _PLACING, "Thickness, greatest deviation", "length", positive=False
    ),
    "restart_gap": _quantity(_PLACING, "An unfinished face may wait", "time"),
    "load_age": _quantity(
        _PLACING,
        "Oldest load at its last shot",
        "time",
        note="a mix revision's own limit comes first",
    ),
    "concrete_low": _quantity(
        _PLACING, "Coldest concrete", "temperature", positive=False
    ),
    "concrete_high": _quantity(
        _PLACING, "Hottest concrete", "temperature", positive=False
    ),
    "air_low": _quantity(_PLACING, "Coldest air", "temperature", positive=False),
    "evaporation_limit": _quantity(_PLACING, "Evaporation", "evaporation"),
    "evaporation_limit_silica_fume": _quantity(
        _PLACING, "Evaporation, silica fume", "evaporation"
    ),
    "continuous_inspection": _flag(
        _RECORD, "The inspector is there while anybody shoots", required=True
    ),
    "round_interval": _quantity(_RECORD, "A walking round at least each", "time"),
    "report_sign_within": _count(
        _RECORD,
        "A report is signed within work days",
        least=0,
        note="0: by the end of the work day itself; 1: of the next one",
    ),
    "associate_signs_alone": _flag(
        _RECORD, "An associate-level inspector may sign alone", required=True
    ),
    "ncr_response": _quantity(
        _RECORD, "A nonconformance report is answered within", "time"
    ),
    "packet_prepared_by": _choice(
        _RECORD, "The packet is prepared by", AGENCY, required=True
    ),
}


def kind_of(name: str) -> TermKind:
    """Return the kind of a term. Raises ValueError for an unknown name.

    Source: the table above.

    >>> kind_of("panel_volume").units
    ('m3', 'ft3', 'yd3', 'gal', 'l')
    """
    try:
        return TERM_KINDS[name]
    except KeyError:
        allowed = ", ".join(TERM_KINDS)
        raise ValueError(f"term {name}: not a term; allowed are {allowed}") from None


def shown(value: Value, unit: str | None = None) -> str:
    """Return a term's value as a person reads it. Source: project's choice.

    >>> shown(Decimal("4.5"), "in"), shown(True), shown(None)
    ('4.5 in', 'yes', 'not given')
    """
    text = "not given" if value is None else str(value)
    if isinstance(value, bool):
        text = "yes" if value else "no"
    elif isinstance(value, Decimal):
        text = f"{value:f}"
    return f"{text} {unit}" if unit else text


def _fits(kind: TermKind, value: Value, unit: str | None) -> bool:
    if value is None:
        return not kind.required and unit is None
    if kind.shape is Shape.FLAG:
        return isinstance(value, bool) and unit is None
    if kind.shape is Shape.CHOICE:
        return isinstance(value, str) and value in kind.choices and unit is None
    if not isinstance(value, Decimal) or not value.is_finite():
        return False
    if kind.shape is Shape.QUANTITY:
        return unit in kind.units and (value > 0 or not kind.positive)
    low = kind.least is None or value >= kind.least
    high = kind.most is None or value <= kind.most
    return unit is None and low and high and (value % 1 == 0 or not kind.whole)


def check_term(name: str, value: Value, unit: str | None = None) -> None:
    """Refuse a value a term may not have; nothing stands for "not given".

    Raises ValueError naming the term, the value and what is allowed. Source: the
    table above.

    >>> check_term("core_average", Decimal(85))
    Traceback (most recent call last):
    ValueError: term core_average: 85; allowed is a number from 0.01 to 1
    """
    kind = kind_of(name)
    if _fits(kind, value, unit):
        return
    given = shown(value, unit)
    raise ValueError(f"term {name}: {given}; allowed is {kind.allowed}")
