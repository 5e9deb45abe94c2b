"""Triggers that keep written-once rows as written, on both databases.

They are made from the models themselves and installed after every migration,
because SQLite drops a table's triggers whenever it rebuilds the table.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.apps import apps
from django.core.checks import CheckMessage, Warning
from django.db import connections, models
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.utils import DatabaseError

from project.models.audit import AuditEvent
from project.models.records import WrittenOnce

_REFUSAL = "nozzlebook: this row is written once"


def guarded_models() -> list[type[models.Model]]:
    """Return every table whose rows are written once, in a fixed order."""
    kept = [m for m in apps.get_models() if issubclass(m, WrittenOnce)]
    return sorted([*kept, AuditEvent], key=lambda m: m._meta.db_table)


def install(connection: BaseDatabaseWrapper) -> None:
    """Put every trigger in place anew; tables not yet migrated are left alone."""
    tables = set(connection.introspection.table_names())
    with connection.cursor() as cursor:
        for model in guarded_models():
            if model._meta.db_table in tables:
                for statement in _statements(model, vendor=connection.vendor):
                    cursor.execute(statement)


def missing(connection: BaseDatabaseWrapper) -> list[str]:
    """Return the tables that stand unguarded."""
    if connection.vendor == "postgresql":
        # ENABLE ALWAYS reads "A": a trigger that holds in every replication role.
        asked = "SELECT tgname FROM pg_trigger WHERE tgenabled = 'A'"
    else:
        asked = "SELECT name FROM sqlite_master WHERE type = 'trigger'"
    with connection.cursor() as cursor:
        cursor.execute(asked)
        there = {name for (name,) in cursor.fetchall()}
    tables = set(connection.introspection.table_names())
    return [
        model._meta.db_table
        for model in guarded_models()
        if model._meta.db_table in tables
        and not set(_names(model, vendor=connection.vendor)) <= there
    ]


def unmigrated(connection: BaseDatabaseWrapper) -> bool:
    """Say whether a table is absent altogether: nothing was migrated yet."""
    tables = set(connection.introspection.table_names())
    return any(model._meta.db_table not in tables for model in guarded_models())


def faults(connection: BaseDatabaseWrapper) -> list[str]:
    """Return, in words with their remedy, why this database may not be served from."""
    try:
        if unmigrated(connection):
            return ["the database is not migrated: run manage.py migrate"]
        unguarded = missing(connection)
    except DatabaseError as fault:
        return [f"the database cannot be asked: {fault}"]
    if not unguarded:
        return []
    tables = ", ".join(unguarded)
    return [f"no write-once trigger on {tables}: run manage.py migrate"]


def check_triggers(
    app_configs: object, databases: Iterable[str] | None = None, **kwargs: Any
) -> list[CheckMessage]:
    """Warn of unguarded tables: not an error, for migrating is what mends it."""
    return [
        Warning(f"no write-once trigger on {table}", id="nozzlebook.W001")
        for alias in databases or ()
        for table in missing(connections[alias])
    ]


def _names(model: type[models.Model], *, vendor: str) -> list[str]:
    table = model._meta.db_table
    if vendor == "postgresql":
        ends = ["change", "delete", "truncate"]
    else:
        fill = ["fill"] if _once_columns(model) else []
        ends = ["change", *fill, "delete", "replace"]
    return [f"{table}_{end}"[:63] for end in ends]


def _once_columns(model: type[models.Model]) -> list[str]:
    groups: dict[str, tuple[str, ...]] = getattr(model, "ONCE", {})
    fields = {f for clock, group in groups.items() for f in (clock, *group)}
    return [f.column for f in model._meta.concrete_fields if f.name in fields]


def _kept_columns(model: type[models.Model]) -> list[str]:
    once = set(_once_columns(model))
    return [f.column for f in model._meta.concrete_fields if f.column not in once]


def _statements(model: type[models.Model], *, vendor: str) -> list[str]:
    return _postgresql(model) if vendor == "postgresql" else _sqlite(model)


def _postgresql(model: type[models.Model]) -> list[str]:
    table = model._meta.db_table
    change, delete, truncate = _names(model, vendor="postgresql")
    kept = " OR ".join(
        f'OLD."{c}"::text IS DISTINCT FROM NEW."{c}"::text'
        for c in _kept_columns(model)
    )
    once = [
        f'(OLD."{c}"::text <> \'\' AND OLD."{c}"::text IS DISTINCT FROM NEW."{c}"::text)'
        for c in _once_columns(model)
    ]
    changed = " OR ".join([kept, *once])
    return [
        "CREATE OR REPLACE FUNCTION nozzlebook_refuse() RETURNS trigger AS $$ "
        f"BEGIN RAISE EXCEPTION '{_REFUSAL} (%)', TG_TABLE_NAME "
        "USING ERRCODE = 'integrity_constraint_violation'; END $$ LANGUAGE plpgsql",
        *(
            f'DROP TRIGGER IF EXISTS "{n}" ON "{table}"'
            for n in (change, delete, truncate)
        ),
        f'CREATE TRIGGER "{change}" BEFORE UPDATE ON "{table}" FOR EACH ROW '
        f"WHEN ({changed}) EXECUTE FUNCTION nozzlebook_refuse()",
        f'CREATE TRIGGER "{delete}" BEFORE DELETE ON "{table}" FOR EACH ROW '
        "EXECUTE FUNCTION nozzlebook_refuse()",
        f'CREATE TRIGGER "{truncate}" BEFORE TRUNCATE ON "{table}" FOR EACH STATEMENT '
        "EXECUTE FUNCTION nozzlebook_refuse()",
        *(
            f'ALTER TABLE "{table}" ENABLE ALWAYS TRIGGER "{n}"'
            for n in (change, delete, truncate)
        ),
    ]


def _sqlite(model: type[models.Model]) -> list[str]:
    table = model._meta.db_table
    refuse = f"BEGIN SELECT RAISE(ABORT, '{_REFUSAL} ({table})'); END"
    kept = ", ".join(f'"{c}"' for c in _kept_columns(model))
    once = _once_columns(model)
    names = _names(model, vendor="sqlite")
    statements = [f'DROP TRIGGER IF EXISTS "{name}"' for name in names]
    statements.append(
        f'CREATE TRIGGER "{table}_change" BEFORE UPDATE OF {kept} ON "{table}" {refuse}'
    )
    if once:
        columns = ", ".join(f'"{c}"' for c in once)
        filled = " OR ".join(
            f'(OLD."{c}" <> \'\' AND OLD."{c}" IS NOT NEW."{c}")' for c in once
        )
        statements.append(
            f'CREATE TRIGGER "{table}_fill" BEFORE UPDATE OF {columns} ON "{table}" '
            f"WHEN {filled} {refuse}"
        )
    statements += [
        f'CREATE TRIGGER "{table}_delete" BEFORE DELETE ON "{table}" {refuse}',
        # INSERT OR REPLACE deletes the row in its way without asking the trigger
        # above, so a clash is refused before the insert.
        f'CREATE TRIGGER "{table}_replace" BEFORE INSERT ON "{table}" '
        f"WHEN {_clash(model)} {refuse}",
    ]
    return statements


def _clash(model: type[models.Model]) -> str:
    """Return SQL that is true where a new row stands in the place of an old one."""
    table = model._meta.db_table
    keys = [[f.column] for f in model._meta.concrete_fields if f.unique]
    found = [_stands(table, _same(columns)) for columns in keys]
    for constraint in model._meta.constraints:
        if isinstance(constraint, models.UniqueConstraint) and constraint.fields:
            by_name = {f.name: f.column for f in model._meta.concrete_fields}
            columns = [by_name[name] for name in constraint.fields]
            where = _same(columns)
            if constraint.condition is not None:
                # Partial rules here are about what is absent: no earlier version.
                absent = [
                    _absent_column(model, c) for c in constraint.condition.children
                ]
                for column in absent:
                    where += f' AND "{column}" IS NULL AND NEW."{column}" IS NULL'
            found.append(_stands(table, where))
    return " OR ".join(found)


def _stands(table: str, where: str) -> str:
    # Names of our own tables and columns only; nobody's input comes here.
    return f'EXISTS (SELECT 1 FROM "{table}" WHERE {where})'  # noqa: S608


def _absent_column(model: type[models.Model], child: Any) -> str:
    """Return the column that a rule's condition asks to be empty."""
    name, _, lookup = child[0].rpartition("__")
    if lookup != "isnull" or child[1] is not True:
        raise ValueError(f"{model._meta.label}: no trigger is made for {child}")
    by_name = {f.name: f.column for f in model._meta.concrete_fields}
    return by_name[name]


def _same(columns: Iterable[str]) -> str:
    return " AND ".join(f'"{column}" = NEW."{column}"' for column in columns)
