"""Reading a calculation's inputs from plain values, each fault named by its field.

Plain values are what JSON holds: a quantity is `["3.06", "in"]`, a table a list of
objects. Numbers come as text or as exact decimals; a binary float is refused, since
it no longer is what was typed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal, InvalidOperation

from project.domain.calculation import Calculation, Field, Given, Kind, Value
from project.domain.editions import Departure, edition_of, resolve
from project.domain.term_kinds import Shape, kind_of
from project.domain.terms import Terms
from project.domain.units import Quantity


class InputError(ValueError):
    """Inputs that cannot be taken: field to what is wrong and what is allowed.

    A field of a row is named with the row's number from 1: `cores.2.load`.
    """

    def __init__(self, errors: Mapping[str, str]) -> None:
        self.errors = dict(errors)
        super().__init__("; ".join(f"{name}: {why}" for name, why in errors.items()))


def read_inputs(fields: Sequence[Field], data: Mapping[str, object]) -> Given:
    """Return inputs read and in range.

    Raises InputError listing every field that is missing, unknown, of another kind
    or out of range, with its value and what is allowed. Source: project's choice.

    >>> side = Field("side", "Side", Kind.QUANTITY, unit="in", above=Decimal(0))
    >>> str(read_inputs([side], {"side": ["2.50", "in"]}).quantity("side"))
    '2.50 in'
    >>> read_inputs([side], {"side": ["-1", "in"], "edge": "3"})
    Traceback (most recent call last):
    project.domain.calculation_reading.InputError: edge: no such input; allowed are
        side; side: -1 in; allowed is a number above 0 in; units m, mm, in, ft, yd
    """
    errors: dict[str, str] = {}
    given = _read(fields, data, errors, path="")
    if errors:
        raise InputError(errors)
    return given


def _read(
    fields: Sequence[Field],
    data: Mapping[str, object],
    errors: dict[str, str],
    *,
    path: str,
) -> Given:
    names = [field.name for field in fields]
    for name in data:
        if name not in names:
            allowed = f"allowed are {', '.join(names)}" if names else "it takes none"
            errors[path + name] = f"no such input; {allowed}"
    values: dict[str, Value] = {}
    for field in fields:
        value = data.get(field.name)
        if value is None or value == "" or value == []:
            if not field.optional:
                errors[path + field.name] = f"not given; needed is {field.allowed}"
        elif field.kind is Kind.ROWS:
            values[field.name] = _rows(field, value, errors, path=path)
        else:
            try:
                values[field.name] = _value(field, value)
            except (ValueError, InvalidOperation):
                why = f"{_as_typed(value)}; allowed is {field.allowed}"
                errors[path + field.name] = why
    return Given(values)


def _rows(
    field: Field, value: object, errors: dict[str, str], *, path: str
) -> tuple[Given, ...]:
    here = path + field.name
    if not isinstance(value, list | tuple):
        errors[here] = f"{_as_typed(value)}; allowed is a list of rows"
        return ()
    if len(value) < field.fewest:
        errors[here] = f"{len(value)} given; needed is {field.allowed}"
    rows = []
    for number, row in enumerate(value, start=1):
        if not isinstance(row, Mapping):
            errors[f"{here}.{number}"] = f"{_as_typed(row)}; allowed is named values"
            continue
        rows.append(_read(field.columns, row, errors, path=f"{here}.{number}."))
    return tuple(rows)


def _as_typed(value: object) -> str:
    if isinstance(value, list | tuple):
        return " ".join(str(part) for part in value)
    return str(value)


def _number(value: object) -> Decimal:
    if isinstance(value, bool | float) or not isinstance(value, str | int | Decimal):
        raise ValueError("a number as text is needed")
    number = Decimal(value)
    if not number.is_finite():
        raise ValueError("a finite number is needed")
    return number


def _value(field: Field, value: object) -> Value:
    return _READERS[field.kind](field, value)


def _quantity(field: Field, value: object) -> Quantity:
    if not isinstance(value, list | tuple) or len(value) != 2:
        raise ValueError("a number and a unit are needed")
    quantity = Quantity(_number(value[0]), str(value[1]))
    if not field.holds_quantity(quantity):
        raise ValueError("out of range")
    return quantity


def _plain_number(field: Field, value: object) -> Decimal:
    number = _number(value)
    whole = field.kind is not Kind.COUNT or number == number.to_integral_value()
    if not (whole and field.holds(number)):
        raise ValueError("out of range")
    return number


def _choice(field: Field, value: object) -> str:
    if value not in field.choices:
        raise ValueError("another word")
    return str(value)


def _flag(_: Field, value: object) -> bool:
    if isinstance(value, bool):
        return value
    return {"yes": True, "no": False}[str(value)] if value in ("yes", "no") else _no()


def _no() -> bool:
    raise ValueError("neither yes nor no")


def _day(_: Field, value: object) -> date:
    return date.fromisoformat(str(value))


def _instant(_: Field, value: object) -> datetime:
    instant = datetime.fromisoformat(str(value))
    if instant.tzinfo is None:
        raise ValueError("a zone is needed")
    return instant


def _words(_: Field, value: object) -> str:
    return str(value)


_READERS: Mapping[Kind, Callable[[Field, object], Value]] = {
    Kind.QUANTITY: _quantity,
    Kind.NUMBER: _plain_number,
    Kind.COUNT: _plain_number,
    Kind.CHOICE: _choice,
    Kind.FLAG: _flag,
    Kind.DAY: _day,
    Kind.INSTANT: _instant,
    Kind.WORDS: _words,
}

_ASKED = "asked for this calculation"


def read_terms(
    calculation: Calculation,
    *,
    edition: str,
    settings: Mapping[str, object],
    effective_on: date,
) -> Terms:
    """Return the terms a calculation is made under: an edition, changed by name.

    Empty terms for a calculation that asks none. Raises InputError for an unknown
    edition, a setting the calculation does not ask, or a value it may not have.
    Source: project's choice; the values are the edition's.
    """
    if not calculation.settings:
        if edition or settings:
            raise InputError({"edition": "this calculation asks no contract terms"})
        return Terms(0, "", effective_on, {})
    try:
        edition_of(edition)
    except ValueError as error:
        raise InputError({"edition": str(error)}) from None
    errors, departures = {}, {}
    for name, value in settings.items():
        if name not in calculation.settings:
            allowed = ", ".join(calculation.settings)
            errors[name] = f"not asked by this calculation; it asks {allowed}"
            continue
        try:
            departures[name] = _departure(name, value)
        except (ValueError, InvalidOperation):
            why = f"{_as_typed(value)}; allowed is {kind_of(name).allowed}"
            errors[name] = why
    if errors:
        raise InputError(errors)
    try:
        return resolve(
            edition, revision=1, effective_on=effective_on, departures=departures
        )
    except ValueError as error:
        raise InputError({"settings": str(error)}) from None


def _departure(name: str, value: object) -> Departure:
    shape = kind_of(name).shape
    if value is None:
        return Departure(None, None, _ASKED)
    if shape is Shape.FLAG:
        return Departure(_flag(_NOTHING, value), None, _ASKED)
    if shape is Shape.CHOICE:
        return Departure(str(value), None, _ASKED)
    if shape is Shape.NUMBER:
        return Departure(_number(value), None, _ASKED)
    if not isinstance(value, list | tuple) or len(value) != 2:
        raise ValueError("a number and a unit are needed")
    return Departure(_number(value[0]), str(value[1]), _ASKED)


_NOTHING = Field("", "", Kind.FLAG)
