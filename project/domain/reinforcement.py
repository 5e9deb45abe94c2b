"""The bars of a part or of a mock-up: mats in curtains, and how bars are spliced."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from functools import lru_cache
from typing import TypeVar

from project.domain.bars import bar_diameter, thickness_of
from project.domain.units import Quantity, convert


class Curtain(StrEnum):
    """Which plane of bars. A part with one curtain has only the nearer one."""

    NEARER = "nearer the nozzle"
    MIDDLE = "between"
    FARTHER = "farther from the nozzle"


class BarWay(StrEnum):
    """Which way the bars of a mat run; on a crown read along and around."""

    VERTICAL = "vertical"
    HORIZONTAL = "horizontal"
    TIES = "ties"


class SpliceKind(StrEnum):
    """How bars are joined."""

    NONE = "none"
    COUPLER = "coupler"
    NON_CONTACT = "non-contact"
    CONTACT = "contact"


E = TypeVar("E", bound=StrEnum)


def _choice(kind: type[E], value: object, *, field: str) -> E:
    try:
        return kind(str(value))
    except ValueError:
        allowed = ", ".join(kind)
        raise ValueError(f"{field} {value!r}: allowed are {allowed}") from None


def _length(value: object, *, field: str) -> Quantity:
    """Read ["8", "in"]. Raises ValueError for anything but a positive length."""
    if not isinstance(value, list | tuple) or len(value) != 2:
        raise ValueError(f"{field} {value!r}: a number and a unit are needed")
    try:
        quantity = Quantity(Decimal(str(value[0])), str(value[1]))
    except InvalidOperation:
        raise ValueError(f"{field} {value[0]!r}: a number is needed") from None
    return _positive_length(quantity, field=field)


def _positive_length(quantity: Quantity, *, field: str) -> Quantity:
    if quantity.dimension != "length":
        raise ValueError(f"{field} {quantity}: a length is needed")
    if quantity.value <= 0:
        raise ValueError(f"{field} {quantity}: more than 0 is needed")
    return quantity


def _object(value: object, *, field: str) -> Mapping[str, object]:
    if not isinstance(value, Mapping):
        raise ValueError(f"{field} {value!r}: named values are needed")
    return value


def _length_json(quantity: Quantity) -> list[str]:
    return [f"{quantity.value:f}", quantity.unit]


@dataclass(frozen=True, slots=True)
class Mat:
    """Parallel bars of one size in one curtain, at one centre spacing.

    `existing` bars stand in concrete that is repaired; `gap_behind` is the room
    cut out behind them. Raises ValueError for an unknown bar, a spacing that is
    no length, or bars that would touch.
    """

    curtain: Curtain
    way: BarWay
    bar: str
    spacing: Quantity
    existing: bool = False
    gap_behind: Quantity | None = None

    def __post_init__(self) -> None:
        diameter = thickness_of(self.bar)
        spacing = _positive_length(self.spacing, field="spacing")
        if convert(spacing, to="mm").value <= diameter:
            at_least = bar_diameter(self.bar)
            raise ValueError(
                f"spacing {spacing}: {self.bar} needs more than {at_least}"
            )
        if self.gap_behind is not None:
            _positive_length(self.gap_behind, field="gap behind")

    def __str__(self) -> str:
        return f"{self.bar} at {self.spacing}, {self.way}, {self.curtain}"

    @classmethod
    def from_json(cls, data: object) -> Mat:
        """Read a mat as `to_json` writes it. Raises ValueError by field and value."""
        row = _object(data, field="mat")
        behind = row.get("gap_behind")
        return cls(
            curtain=_choice(Curtain, row.get("curtain"), field="curtain"),
            way=_choice(BarWay, row.get("way"), field="way"),
            bar=str(row.get("bar")),
            spacing=_length(row.get("spacing"), field="spacing"),
            existing=row.get("existing") is True,
            gap_behind=None if behind is None else _length(behind, field="gap behind"),
        )

    def to_json(self) -> dict[str, object]:
        """Return plain values; numbers as typed."""
        row: dict[str, object] = {
            "curtain": self.curtain.value,
            "way": self.way.value,
            "bar": self.bar,
            "spacing": _length_json(self.spacing),
        }
        if self.existing:
            row["existing"] = True
        if self.gap_behind is not None:
            row["gap_behind"] = _length_json(self.gap_behind)
        return row


@dataclass(frozen=True, slots=True)
class Splice:
    """How the bars of a part are joined, and the clear gap of non-contact laps."""

    kind: SpliceKind
    clear: Quantity | None = None
    staggered: bool = False
    existing: bool = False

    def __post_init__(self) -> None:
        if self.clear is not None:
            _positive_length(self.clear, field="splice clear")

    @classmethod
    def from_json(cls, data: object) -> Splice:
        """Read a splice as `to_json` writes it. Raises ValueError by field and value."""
        row = _object(data, field="splice")
        clear = row.get("clear")
        return cls(
            kind=_choice(SpliceKind, row.get("kind"), field="splice"),
            clear=None if clear is None else _length(clear, field="splice clear"),
            staggered=row.get("staggered") is True,
            existing=row.get("existing") is True,
        )

    def to_json(self) -> dict[str, object]:
        """Return plain values; numbers as typed."""
        row: dict[str, object] = {"kind": self.kind.value}
        if self.clear is not None:
            row["clear"] = _length_json(self.clear)
        for name in ("staggered", "existing"):
            if getattr(self, name):
                row[name] = True
        return row


@dataclass(frozen=True, slots=True)
class Reinforcement:
    """All mats of a part and its splices. No mats means plain; no splice, not given."""

    mats: tuple[Mat, ...]
    splice: Splice | None = None
    # Made when first asked for, and once: bars are compared with many others.
    _typed: str = field(init=False, default="", repr=False, compare=False)

    @property
    def typed(self) -> str:
        """All of it to the letter: 8.0 in and 8 in are equal, and not the same."""
        if not self._typed:
            object.__setattr__(self, "_typed", f"{self.mats!r} {self.splice!r}")
        return self._typed

    @property
    def curtains(self) -> int:
        """The number of planes of bars."""
        return len({mat.curtain for mat in self.mats})

    @classmethod
    def from_json(cls, data: object) -> Reinforcement | None:
        """Read reinforcement as `to_json` writes it; an empty object reads "not given".

        Raises ValueError naming the field, the value and what is allowed.

        >>> Reinforcement.from_json({}) is None
        True
        >>> bars = {"mats": [{"curtain": "nearer the nozzle", "way": "vertical",
        ...                   "bar": "No. 5", "spacing": ["8", "in"]}],
        ...         "splice": {"kind": "non-contact", "clear": ["2.0", "in"]}}
        >>> Reinforcement.from_json(bars).to_json() == bars
        True
        >>> Reinforcement.from_json({"mats": [], "splice": {"kind": "welded"}})
        Traceback (most recent call last):
        ValueError: splice 'welded': allowed are none, coupler, non-contact, contact
        """
        row = _object(data, field="reinforcement")
        if not row:
            return None
        mats, splice = row.get("mats"), row.get("splice")
        if not isinstance(mats, list | tuple):
            raise ValueError(f"mats {mats!r}: a list is needed, empty for none")
        return cls(
            mats=tuple(Mat.from_json(mat) for mat in mats),
            splice=None if splice is None else Splice.from_json(splice),
        )

    def to_json(self) -> dict[str, object]:
        """Return plain values, fit for a JSON column and a canonical digest."""
        row: dict[str, object] = {"mats": [mat.to_json() for mat in self.mats]}
        if self.splice is not None:
            row["splice"] = self.splice.to_json()
        return row


def stored(data: object) -> Reinforcement | None:
    """Read reinforcement from a column, as `Reinforcement.from_json`; equal ones once.

    A job has hundreds of parts and a few kinds of bars. Raises ValueError as
    `from_json`, and TypeError for what is no plain value. Source: none needed.

    >>> stored({"mats": []}) is stored({"mats": []})
    True
    """
    return _stored(json.dumps(data))


@lru_cache(maxsize=1024)
def _stored(plain: str) -> Reinforcement | None:
    return Reinforcement.from_json(json.loads(plain))
