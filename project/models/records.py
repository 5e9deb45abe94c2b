"""The three kinds of row: living, fact and act. Nothing is ever deleted.

Living rows are edited by actions, each change audited. Facts are written once;
a change is a new version that supersedes the old one by name, with a reason.
Acts are written once and never superseded. Every foreign key to a fact holds
the identity of its chain's first version, so nothing points at a stale one.
"""

from __future__ import annotations

import os
import time
import uuid
from datetime import datetime
from decimal import Decimal
from typing import Any, ClassVar, Self

from django.db import models
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import F, Q
from django.db.models.sql.compiler import SQLCompiler
from django.utils.translation import gettext_lazy as _

from project.domain.identity import uuid7
from project.domain.units import Quantity, units_of


def new_id() -> uuid.UUID:
    """Mint an identity, as a tablet or a form does before it sends."""
    return uuid7(time.time_ns() // 1_000_000, os.urandom(10))


class MeasureField(models.DecimalField[Any, Any]):
    """The number of a typed quantity; its unit stands in the column beside it."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("max_digits", 12)
        kwargs.setdefault("decimal_places", 4)
        kwargs.setdefault("null", True)
        kwargs.setdefault("blank", True)
        super().__init__(*args, **kwargs)

    def from_db_value(self, value: Decimal | None, *_: object) -> Decimal | None:
        """Return the number without the noughts that only the column's scale added."""
        if value is None:
            return None
        short = value.normalize()
        return short.quantize(Decimal(1)) if short == short.to_integral() else short


class UnitField(models.CharField[Any, Any]):
    """The unit of the measures named beside it, one of a dimension's units."""

    def __init__(self, dimension: str = "", **kwargs: Any) -> None:
        self.dimension = dimension
        kwargs.setdefault("max_length", 10)
        kwargs.setdefault("blank", True)
        kwargs.setdefault("default", "")
        if dimension:
            kwargs.setdefault("choices", [(u, u) for u in units_of(dimension)])
        super().__init__(**kwargs)

    def deconstruct(self) -> Any:
        """Leave the choices out: the table of units may grow without a migration."""
        name, path, args, kwargs = super().deconstruct()
        kwargs.pop("choices", None)
        return name, path, args, kwargs


def with_unit(name: str, *columns: str) -> models.CheckConstraint:
    """Ask that a measure and its unit are both there or both absent."""
    measures = columns or (name,)
    none = Q(**{f"{column}__isnull": True for column in measures})
    some = Q()
    for column in measures:
        some |= Q(**{f"{column}__isnull": False})
    unit = f"{name}_unit"
    return models.CheckConstraint(
        condition=(none & Q(**{unit: ""})) | (some & ~Q(**{unit: ""})),
        name=f"%(app_label)s_%(class)s_{name}_with_unit",
    )


def as_quantity(value: Decimal | None, unit: str) -> Quantity | None:
    """Return a stored pair of columns as one quantity, without the column's zeros."""
    if value is None:
        return None
    trimmed = value.normalize()
    whole = trimmed == trimmed.to_integral_value()
    return Quantity(trimmed.quantize(Decimal(1)) if whole else trimmed, unit)


class Identified(models.Model):
    """Every row has an identity made where it was first written."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)

    # Columns that the table got later: while empty, rows from before still verify.
    ADDED: ClassVar[frozenset[str]] = frozenset()

    class Meta:
        abstract = True

    @property
    def kind(self) -> str:
        """The name under which audit lines, evidence and packets know this table."""
        return self._meta.model_name or ""


class Living(Identified):
    """A row that actions edit; the audit trail keeps what it was before."""

    class Meta:
        abstract = True


class WrittenOnce(Identified):
    """A row that is never changed, but for columns filled once in a later act."""

    # Columns that may go from nothing to a value once, by the clock of their group:
    # {"stopped_recorded_at": ("stopped_at",)}.
    ONCE: ClassVar[dict[str, tuple[str, ...]]] = {}

    recorded_at = models.DateTimeField(editable=False)

    class Meta:
        abstract = True

    def as_known(self, name: str, *, at: datetime) -> Any:
        """Return a once-column's value; nothing where it was filled after an instant."""
        recorded = next(c for c, columns in self.ONCE.items() if name in columns)
        filled = getattr(self, recorded)
        return None if filled is not None and filled > at else getattr(self, name)


class _KnownAt(models.Func):
    """Whether a row is the version in force as known at an instant.

    Said in SQL, as one condition: every page reads facts again and again, and a third
    of what Django took to put such a reading together went into these.
    """

    template = (
        "(%(row)s.recorded_at <= %(at)s AND NOT %(row)s.withdrawn"
        " AND NOT EXISTS (SELECT 1 FROM %(table)s later"
        " WHERE later.supersedes_id = %(pk)s AND later.recorded_at <= %(at)s))"
    )
    arity = 2
    output_field = models.BooleanField()

    def as_sql(
        self,
        compiler: SQLCompiler,
        connection: BaseDatabaseWrapper,
        function: str | None = None,
        template: str | None = None,
        arg_joiner: str | None = None,
        **extra_context: Any,
    ) -> tuple[str, tuple[Any, ...]]:
        """Return the condition and its parameters: the instant, asked twice."""
        # A column takes no parameters of its own.
        (pk, _none), (at, instant) = map(compiler.compile, self.source_expressions)
        told = {"row": pk.rpartition(".")[0], "pk": pk, "at": at}
        return self.template % (told | self.extra), (*instant, *instant)


# What every fact says of its place in its chain.
_VERSION = ("recorded_at", "supersedes", "withdrawn")


class FactQuerySet(models.QuerySet[Any]):
    """How queries read facts: as known at an instant, unless they want each version."""

    def known_at(self, instant: datetime) -> Self:
        """Return the versions in force as known then.

        `withdrawn` is looked at last: a withdrawn version first hides the one
        that it superseded.
        """
        at = models.Value(instant, output_field=models.DateTimeField())
        return self.filter(_KnownAt(F("pk"), at, table=self.model._meta.db_table))

    def for_facts(self, *more: str) -> Self:
        """Fetch the columns that `facts` asks of a version, and some more: no others."""
        names = (*_VERSION, *self.model.FACTS, *more)
        beside = {name.rpartition("__")[0] for name in names if "__" in name}
        rows = self.select_related(*beside) if beside else self
        return rows.only(*names)


def _chain_constraints() -> tuple[models.BaseConstraint, ...]:
    alone = Q(supersedes__isnull=True)
    return (
        models.CheckConstraint(
            condition=(alone & Q(first=F("id"))) | (~alone & ~Q(first=F("id"))),
            name="%(app_label)s_%(class)s_first",
        ),
        models.CheckConstraint(
            condition=alone | ~Q(supersedes=F("id")),
            name="%(app_label)s_%(class)s_not_itself",
        ),
        models.CheckConstraint(
            condition=alone | ~Q(reason=""),
            name="%(app_label)s_%(class)s_reason_when_superseding",
        ),
    )


class Version(WrittenOnce):
    """What job facts and company facts share: the chain of versions."""

    first = models.UUIDField(editable=False, db_index=True)
    supersedes = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    withdrawn = models.BooleanField(default=False)
    reason = models.TextField(blank=True, default="")

    # The columns that the rules ask, here or beside it; most tables have many more.
    FACTS: ClassVar[tuple[str, ...]] = ()

    objects = FactQuerySet.as_manager()

    class Meta:
        abstract = True
        constraints = _chain_constraints()

    def revised(self, *, id: uuid.UUID, **changes: Any) -> Self:
        """Return a next version, unsaved: this one's own columns, and what changed."""
        chain = {"id", "first", "supersedes", "recorded_at", "recorded_by", "reason"}
        clocks = set(self.ONCE)
        kept = {
            field.name: getattr(self, field.attname)
            for field in self._meta.concrete_fields
            if field.name not in chain | clocks and field.name not in changes
        }
        by_column = {
            self._meta.get_field(name).attname: value  # type: ignore[union-attr]
            for name, value in kept.items()
        }
        return type(self)(id=id, **by_column, **changes)


class Fact(Version):
    """A fact of one job."""

    job = models.ForeignKey("project.Job", on_delete=models.PROTECT, related_name="+")
    recorded_by = models.ForeignKey(
        "project.Membership", on_delete=models.PROTECT, related_name="+"
    )

    class Meta(Version.Meta):
        abstract = True


class CompanyFact(Version):
    """A fact of one firm, the same on all its jobs."""

    organization = models.ForeignKey(
        "project.Organization", on_delete=models.PROTECT, related_name="+"
    )
    recorded_by = models.ForeignKey(
        "project.User", on_delete=models.PROTECT, related_name="+"
    )

    class Meta(Version.Meta):
        abstract = True


class Act(WrittenOnce):
    """Something done on a job: a move, a signature, a frozen conclusion."""

    job = models.ForeignKey("project.Job", on_delete=models.PROTECT, related_name="+")
    recorded_by = models.ForeignKey(
        "project.Membership", on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        abstract = True


def unique_fact(*fields: str, name: str) -> models.UniqueConstraint:
    """A code is taken once; a superseding version keeps it."""
    own = [f.replace("_", " ") for f in fields if f not in ("job", "organization")]
    return models.UniqueConstraint(
        fields=fields,
        condition=Q(supersedes__isnull=True),
        name=name,
        violation_error_message=_("Taken already: another record has this %(fields)s.")
        % {"fields": ", ".join(own)},
    )
