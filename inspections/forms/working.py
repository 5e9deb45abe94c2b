"""The form of any calculation, drawn from what the calculation says it takes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date

from django.http import QueryDict
from django.utils.translation import gettext as _

from inspections.forms.working_address import (
    MOST_ROWS,
    NOT_GIVEN,
    TERMS_ON,
    Asked,
    example_address,
    read_address,
)
from inspections.forms.working_boxes import (
    Choice,
    Entry,
    Line,
    Table,
    first_unit,
    offered_units,
    unit_word,
    usual_unit,
)
from project.domain.calculation import Calculation, Field, Kind
from project.domain.calculation_reading import InputError
from project.domain.calculation_running import Worked, work
from project.domain.editions import EDITIONS, edition_of
from project.domain.term_kinds import Shape, kind_of, shown
from project.domain.terms import Terms, terms_on
from project.models import Job

BLANK_ROWS, MORE_ROWS, FEW_SETTINGS = 2, 5, 4


class WorkingForm:
    """A calculation's form: what an address asks of it, judged and drawn again."""

    def __init__(
        self,
        calculation: Calculation,
        given: QueryDict,
        *,
        job: Job,
        revisions: Sequence[Terms],
        today: date,
    ) -> None:
        self.calculation, self.job = calculation, job
        self.asked = read_address(calculation, given, zone=job.zone)
        self.worked: Worked | None = None
        self.errors: dict[str, str] = {}
        self.on = self._terms_day(today)
        self.terms = terms_on(revisions, on=self.on)
        self.is_today = self.on == today
        # A page that only grows a table is not judged yet.
        self.growing = self.asked.values.get("more", "")
        if self.is_asked and not self.growing:
            self._judge()

    @property
    def is_asked(self) -> bool:
        """Whether the address asks for a figure, or for something there is not."""
        asked = self.asked
        return bool(asked.data or asked.settings or asked.errors or self._submitted)

    @property
    def _submitted(self) -> bool:
        names = {field.name for field in self.calculation.fields}
        return any(key.partition(".")[0] in names for key in self.asked.values)

    @property
    def example(self) -> str:
        """The query string that fills the example in."""
        return example_address(self.calculation, zone=self.job.zone)

    def _terms_day(self, today: date) -> date:
        """Return the date whose terms are asked for; a wrong one is told, not guessed."""
        typed = self.asked.values.get(TERMS_ON, "")
        if not typed:
            return today
        try:
            return date.fromisoformat(typed)
        except ValueError:
            told = _("%(typed)s is no date; allowed is one such as 2026-08-13")
            self.asked.errors[TERMS_ON] = told % {"typed": typed}
            return today

    def _judge(self) -> None:
        asked = self.asked
        key = asked.values.get("edition", "")
        base: Terms | str = self.terms if self.terms and not key else key
        self.errors = dict(asked.errors)
        asks = bool(self.calculation.settings) and not self.is_today
        if asks and self.terms is None and not key:
            told = _("%(day)s: no terms were in force then; allowed is a later date")
            self.errors[TERMS_ON] = told % {"day": self.on}
        try:
            self.worked = work(
                self.calculation,
                asked.data,
                edition=base if self.calculation.settings else key,
                settings=asked.settings,
                effective_on=self.on,
            )
        except InputError as error:
            found = {asked.typed_at(name): why for name, why in error.errors.items()}
            self.errors = found | self.errors
        if self.errors:
            self.worked = None

    @property
    def faults(self) -> list[tuple[str, str]]:
        """What is wrong and belongs to no box of the form."""
        drawn = set(self._keys())
        return [(key, why) for key, why in self.errors.items() if key not in drawn]

    def _keys(self) -> Iterator[str]:
        boxes = [*self.entries, *self.settings]
        yield from (box.key for box in boxes if isinstance(box, Entry))
        if self.calculation.settings:
            yield from ("edition", TERMS_ON)
        for table in self.entries:
            if isinstance(table, Table):
                yield table.key
                for line in table.lines:
                    yield line.key
                    yield from (cell.key for cell in line.cells)

    # --- Drawing --------------------------------------------------------------------

    @property
    def entries(self) -> list[Entry | Table]:
        """Every input, in the calculation's own order."""
        return [
            self._table(field)
            if field.kind is Kind.ROWS
            else self._entry(field, field.name, f"{field.name}.unit")
            for field in self.calculation.fields
        ]

    @property
    def has_table(self) -> bool:
        """Whether the form is as wide as a page."""
        return any(field.kind is Kind.ROWS for field in self.calculation.fields)

    def _entry(self, field: Field, key: str, unit_key: str) -> Entry:
        quantity = field.kind is Kind.QUANTITY
        return Entry(
            key=key,
            label=field.label,
            draws=_draws(field, self.asked, key),
            value=self.asked.values.get(key, ""),
            choices=_choices(field),
            unit_key=unit_key if quantity else "",
            unit=self._unit(field, unit_key) if quantity else "",
            units=offered_units(field, self.job.unit_system) if quantity else (),
            allowed=field.allowed,
            note=field.note,
            optional=field.optional,
            error=self.errors.get(key, ""),
            hint=self.job.zone if field.kind is Kind.INSTANT else "",
        )

    def _unit(self, field: Field, unit_key: str) -> str:
        typed = self.asked.values.get(unit_key, "")
        return (
            typed if typed in field.units else first_unit(field, self.job.unit_system)
        )

    def _table(self, field: Field) -> Table:
        shown_rows = self._shown(field)
        most = min(field.most_rows, MOST_ROWS)
        heads = tuple(
            self._entry(column, f"{field.name}.{column.name}", _unit_of(field, column))
            for column in field.columns
        )
        return Table(
            key=field.name,
            label=field.label,
            allowed=field.allowed,
            note=field.note,
            optional=field.optional,
            heads=heads,
            lines=tuple(self._line(field, n) for n in range(1, shown_rows + 1)),
            may_grow=shown_rows < most,
            error=self.errors.get(field.name, ""),
        )

    def _shown(self, field: Field) -> int:
        """Return how many rows are drawn: those typed, and room for a few more."""
        most = min(field.most_rows, MOST_ROWS)
        kept = self.asked.values.get(f"rows.{field.name}", "")
        before = (
            int(kept) if kept.isascii() and kept.isdecimal() and len(kept) < 4 else 0
        )
        last = max(self.asked.lines[field.name], default=0)
        room = max(before, last, field.fewest + BLANK_ROWS if not last else last + 1)
        if self.growing == field.name:
            room += MORE_ROWS
        return min(room, most)

    def _line(self, table: Field, number: int) -> Line:
        key = f"{table.name}.{number}"
        cells = (
            self._entry(column, f"{key}.{column.name}", _unit_of(table, column))
            for column in table.columns
        )
        # Units stand once, above the column.
        bare = tuple(replace(cell, units=()) for cell in cells)
        return Line(key, number, bare, self.errors.get(key, ""))

    # --- Terms ----------------------------------------------------------------------

    @property
    def edition(self) -> Entry:
        """Which terms: the contract's, or an edition's."""
        contract = _("no terms are in force on that date: choose an edition")
        if self.terms is not None:
            contract = _("this contract's of %(day)s, revision %(n)s, from %(edition)s")
            contract %= {
                "day": _("today") if self.is_today else self.on,
                "n": self.terms.revision,
                "edition": edition_name(self.terms),
            }
        editions = ((key, each.name) for key, each in EDITIONS.items())
        return Entry(
            key="edition",
            label=_("Terms"),
            draws="choice",
            value=self.asked.values.get("edition", ""),
            choices=(("", contract), *editions),
            optional=self.terms is not None,
            error=self.errors.get("edition", ""),
        )

    @property
    def terms_day(self) -> Entry:
        """The date whose terms are used: today's, or those of the day of the work."""
        return Entry(
            key=TERMS_ON,
            label=_("Terms in force on"),
            draws="day",
            value=self.asked.values.get(TERMS_ON, ""),
            optional=True,
            error=self.errors.get(TERMS_ON, ""),
            hint=_("Left empty: today."),
        )

    @property
    def shows_settings(self) -> bool:
        """Whether the settings lie open: they are few, or one is changed or refused."""
        few = len(self.calculation.settings) <= FEW_SETTINGS
        return few or any(each.value or each.error for each in self.settings)

    @property
    def settings(self) -> list[Entry]:
        """Every setting the calculation asks, each with what is in force."""
        base = self._base()
        return [self._setting(name, base) for name in self.calculation.settings]

    def _base(self) -> Terms | None:
        key = self.asked.values.get("edition", "")
        if not key or key not in EDITIONS:
            return self.terms
        return Terms(1, key, self.on, EDITIONS[key].values)

    def _setting(self, name: str, base: Terms | None) -> Entry:
        kind, key = kind_of(name), f"settings.{name}"
        term = base.values.get(name) if base else None
        now = shown(term.value, term.unit) if term else NOT_GIVEN
        as_is = _("as in force: %(value)s") % {"value": now}
        source = f"{term.source}" if term else ""
        asked = kind.shape in (Shape.CHOICE, Shape.FLAG)
        words = kind.choices if kind.shape is Shape.CHOICE else ("yes", "no")
        taken = () if kind.required else (NOT_GIVEN,)
        units = tuple((unit, unit_word(unit)) for unit in kind.units)
        unit = self.asked.values.get(f"{key}.unit") or (term.unit if term else None)
        return Entry(
            key=key,
            label=kind.label,
            draws="choice" if asked else "number",
            value=self.asked.values.get(key, ""),
            choices=(("", as_is), *((w, w) for w in (*words, *taken))) if asked else (),
            unit_key=f"{key}.unit" if units else "",
            unit=unit
            if unit in kind.units
            else usual_unit(kind.units, self.job.unit_system),
            units=units,
            note=kind.note,
            optional=True,
            error=self.errors.get(key, ""),
            hint=source if asked else f"{as_is}, {source}",
        )


def edition_name(terms: Terms) -> str:
    """Return the printed name of the edition that terms start from."""
    try:
        return edition_of(terms.edition).name
    except ValueError:
        return terms.edition


def _unit_of(table: Field, column: Field) -> str:
    return f"{table.name}.{column.name}.unit"


def _choices(field: Field) -> tuple[Choice, ...]:
    words: Mapping[Kind, tuple[str, ...]] = {
        Kind.CHOICE: field.choices,
        Kind.FLAG: ("yes", "no"),
    }
    if field.kind not in words:
        return ()
    # Nothing is chosen for anybody: a first word taken by itself is no answer.
    return (("", ""), *((word, word) for word in words[field.kind]))


def _draws(field: Field, asked: Asked, key: str) -> str:
    if field.kind in (Kind.CHOICE, Kind.FLAG):
        return "choice"
    if field.kind is Kind.DAY:
        return "day"
    if field.kind is Kind.INSTANT:
        # The browser's own box takes no offset; where one is asked for, words do.
        plain = len(asked.values.get(key, "")) <= len("2026-08-13T07:10:00")
        return "instant" if plain and key not in asked.errors else "words"
    return "words" if field.kind is Kind.WORDS else "number"
