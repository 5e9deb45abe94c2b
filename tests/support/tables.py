"""Worked examples as tables: one row, one case, its source beside it."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

FOLDER = Path(__file__).resolve().parent.parent / "tables"


def rows(name: str) -> list[dict[str, str]]:
    """Return the rows of `tests/tables/<name>.csv`, each with a source."""
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        found = list(csv.DictReader(file))
    assert found, f"{name}: no rows"
    unsourced = [row for row in found if not row["source"]]
    assert not unsourced, f"{name}: no source in {unsourced}"
    return found


def cases(name: str) -> pytest.MarkDecorator:
    """Run a test once for each row of a table, named after the row's first column."""
    return pytest.mark.parametrize(
        "row",
        [
            pytest.param(row, id=f"{number}-{next(iter(row.values()))}")
            for number, row in enumerate(rows(name), start=2)
        ],
    )
