"""Reading a calculation's inputs from plain values, each fault named by its field.

Plain values are what JSON holds: a quantity is `["3.06", "in"]`, a table a list of
objects. Numbers come as text or as exact decimals; a binary float is refused, since
it no longer is what was typed. What is longer than anything measured is refused before
it is worked on: a number of a billion digits would keep the machine busy for a day.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal, InvalidOperation

from project.domain.calculation import Calculation, Field, Given, Kind, Value
from project.domain.editions import (
    EDITIONS,
    Departure,
    depart,
    own_terms,
    to_be_given,
)
from project.domain.term_kinds import Shape, check_term, kind_of
from project.domain.term_kinds import Value as TermValue
from project.domain.terms import Terms
from project.domain.units import Quantity
from project.domain.verdict import Known, Source

MOST_DIGITS = 40
MOST_EXPONENT = 30
MOST_LETTERS = 400
FIRST_YEAR, LAST_YEAR = 1900, 2200


class InputError(ValueError):
    """Inputs that cannot be taken: field to what is wrong and what is allowed.

    A field of a row is named with the row's number from 1: `cores.2.load`.
    """

    def __init__(self, errors: Mapping[str, str]) -> None:
        self.errors = dict(errors)
        lines = (f"{name}: {why}" if name else why for name, why in errors.items())
        super().__init__("; ".join(lines))


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
            errors[path + _as_typed(name)] = f"no such input; {allowed}"
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
                bare = field.kind is Kind.QUANTITY and not isinstance(
                    value, list | tuple
                )
                typed = _as_typed(value) + (" without a unit" if bare else "")
                errors[path + field.name] = f"{typed}; allowed is {field.allowed}"
    return Given(values)


def _rows(
    field: Field, value: object, errors: dict[str, str], *, path: str
) -> tuple[Given, ...]:
    here = path + field.name
    if not isinstance(value, list | tuple):
        errors[here] = f"{_as_typed(value)}; allowed is a list of rows"
        return ()
    if not field.fewest <= len(value) <= field.most_rows:
        errors[here] = f"{len(value)} rows; allowed are {field.allowed}"
        return ()
    rows = []
    for number, row in enumerate(value, start=1):
        if not isinstance(row, Mapping):
            errors[f"{here}.{number}"] = f"{_as_typed(row)}; allowed is named values"
            continue
        rows.append(_read(field.columns, row, errors, path=f"{here}.{number}."))
    return tuple(rows)


def _as_typed(value: object) -> str:
    """Return what was typed, short enough to be read in a message."""
    parts = value[:3] if isinstance(value, list | tuple) else (value,)
    text = " ".join(str(part)[:_SHOWN] for part in parts)
    return text if len(text) <= _SHOWN else f"{text[:_SHOWN]}…"


_SHOWN = 60


def _number(value: object) -> Decimal:
    if isinstance(value, bool | float) or not isinstance(value, str | int | Decimal):
        raise ValueError("a number as text is needed")
    if isinstance(value, str) and len(value) > MOST_LETTERS:
        raise ValueError("a number is needed")
    number = Decimal(value)
    if not number.is_finite():
        raise ValueError("a finite number is needed")
    if abs(number.adjusted()) > MOST_EXPONENT or _digits(number) > MOST_DIGITS:
        raise ValueError("a number that can be measured is needed")
    return number


def _digits(number: Decimal) -> int:
    exponent = number.as_tuple().exponent
    # A trailing zero is a digit too: 0E-900000 would be written out in full.
    return max(len(number.as_tuple().digits), abs(int(exponent)))


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
    day = date.fromisoformat(str(value))
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise ValueError("another century")
    return day


def _instant(_: Field, value: object) -> datetime:
    instant = datetime.fromisoformat(str(value))
    if instant.tzinfo is None:
        raise ValueError("a zone is needed")
    if not FIRST_YEAR <= instant.year <= LAST_YEAR:
        raise ValueError("another century")
    return instant


def _words(_: Field, value: object) -> str:
    if not isinstance(value, str) or len(value) > MOST_LETTERS:
        raise ValueError("words are needed")
    return value


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
_TYPED = Source("typed for this calculation", known=Known.TYPED)


def read_terms(
    calculation: Calculation,
    *,
    edition: object,
    settings: object,
    effective_on: date,
) -> Terms:
    """Return the terms a calculation is made under, changed by name.

    Parameters
    ----------
    edition
        The key of an edition, or a contract's terms in force.
    settings
        Term name to the value that stands instead, as plain values.
    effective_on
        The day an edition's terms are resolved for.

    Empty terms for a calculation that asks none. Raises InputError for an unknown
    edition, a setting the calculation does not ask, or a value it may not have.
    Source: project's choice; the values are the edition's or the contract's.

    >>> from project.domain.calculation import Answer
    >>> asks = Calculation("bare", "", "", "", (), lambda given, terms: Answer({}), (), {},
    ...                    settings=("core_average",))
    >>> terms = read_terms(asks, edition="ibc-2018-1908", settings={"core_average": "0.9"},
    ...                    effective_on=date(2026, 7, 1))
    >>> terms.decimal("core_average"), str(terms.source("core_average"))
    (Decimal('0.9'), 'typed for this calculation')
    """
    if not isinstance(settings, Mapping):
        why = f"{_as_typed(settings)}; allowed is a setting's name to its value"
        raise InputError({"settings": why})
    if not calculation.settings:
        if edition or settings:
            raise InputError({"edition": "this calculation asks no contract terms"})
        return Terms(0, "", effective_on, {})
    base = edition if isinstance(edition, Terms) else _edition(edition, effective_on)
    departures = _departures(calculation, settings)
    try:
        terms = depart(base, departures=departures)
    except ValueError as error:
        raise InputError({"settings": str(error)}) from None
    _check_asked(calculation, terms)
    return terms


def _check_asked(calculation: Calculation, terms: Terms) -> None:
    """Refuse settings that must be given and are not, of those this one asks."""
    missing = [name for name in to_be_given(terms) if name in calculation.settings]
    if missing:
        needed = {name: kind_of(name).allowed for name in missing}
        raise InputError(
            {name: f"not given; needed is {what}" for name, what in needed.items()}
        )


def _edition(key: object, effective_on: date) -> Terms:
    if not isinstance(key, str) or key not in EDITIONS:
        given = (
            f"{_as_typed(key)}; allowed are" if key else "not given; needed is one of"
        )
        raise InputError({"edition": f"{given} {', '.join(EDITIONS)}"})
    return own_terms(key, revision=1, effective_on=effective_on)


def _departures(
    calculation: Calculation, settings: Mapping[str, object]
) -> dict[str, Departure]:
    errors, departures = {}, {}
    for name, value in settings.items():
        if name not in calculation.settings:
            allowed = ", ".join(calculation.settings)
            why = f"not asked by this calculation; it asks {allowed}"
            errors[_as_typed(name)] = why
            continue
        try:
            departures[name] = _departure(name, value)
        except (ValueError, InvalidOperation):
            errors[name] = f"{_as_typed(value)}; allowed is {kind_of(name).allowed}"
    if errors:
        raise InputError(errors)
    return departures


def _departure(name: str, value: object) -> Departure:
    typed, unit = _term_value(kind_of(name).shape, value)
    check_term(name, typed, unit)
    return Departure(typed, unit, _ASKED, _TYPED)


def _term_value(shape: Shape, value: object) -> tuple[TermValue, str | None]:
    if value is None:
        return None, None
    if shape is Shape.FLAG:
        return _flag(_NOTHING, value), None
    if shape is Shape.CHOICE:
        return str(value), None
    if shape is Shape.NUMBER:
        return _number(value), None
    if not isinstance(value, list | tuple) or len(value) != 2:
        raise ValueError("a number and a unit are needed")
    return _number(value[0]), str(value[1])


_NOTHING = Field("", "", Kind.FLAG)
