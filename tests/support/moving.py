"""Constants of the domain moved by one per cent, to see which outside row notices.

A coefficient that no row notices could be anything. `python -m tests.support.moving`
looks for the first row that notices each constant and writes the pairs down; the test
then moves each constant and wants that very row to fail.
"""

from __future__ import annotations

import ast
import csv
import importlib
import pkgutil
import re
import sys
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, fields, is_dataclass, replace
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any
from unittest.mock import patch

import crews.domain
import inspections.domain
import project.domain
from inspections.domain.calculations import CALCULATIONS
from project.domain.units import Quantity
from tests.support.outside import Row, differs, outside_rows

TABLE = Path(__file__).resolve().parent.parent / "tables" / "moved_constants.csv"
_SHOUTED = re.compile(r"_?[A-Z][A-Z0-9_]*")
_PER_CENT = Fraction(101, 100)

# Editions are made of smaller constants while they are read; only the whole is moved.
_EDITIONS = re.compile(r"project\.domain\.editions(\.|$)")

# Constants that are not moved by themselves, and why.
LEFT_ALONE: dict[str, str] = {
    "crews.domain.nozzle_volume._CUT": "a decimal place to cut at, no measure",
    "inspections.domain.placing._PLACES": "a decimal place to cut at, no measure",
}
ROOMS_LEFT_ALONE: dict[str, str] = {
    r"inspections\.domain\.calculations": "the same, gathered",
    r"project\.domain\.term_kinds": "what a form takes in; its test moves each bound",
    r"\w+\.domain\.worked": "what a form takes in; the errors have rows of their own",
    r"crews\.domain\.examples": "facts the doctests speak of",
}

Path_ = tuple[object, ...]


@dataclass(frozen=True)
class Constant:
    """One number of the domain: its module, its name, and where in it it stands."""

    module: str
    name: str
    path: Path_

    def __str__(self) -> str:
        inside = "".join(f"[{step}]" for step in self.path)
        return f"{self.module}.{self.name}{inside}"


@cache
def domain_modules() -> list[ModuleType]:
    """Return every module of the three domains, in a fixed order."""
    found = []
    for package in (project.domain, crews.domain, inspections.domain):
        for info in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            found.append(importlib.import_module(info.name))
    return sorted(found, key=lambda module: module.__name__)


def constants() -> list[Constant]:
    """Return every number that stands in a constant of the domain."""
    found = []
    for module in domain_modules():
        if any(re.match(room, module.__name__) for room in ROOMS_LEFT_ALONE):
            continue
        for name in _own_names(module):
            if _EDITIONS.match(module.__name__) and name != "EDITIONS":
                continue
            if f"{module.__name__}.{name}" in LEFT_ALONE:
                continue
            for path in _numbers(getattr(module, name), ()):
                found.append(Constant(module.__name__, name, path))
    return found


def _own_names(module: ModuleType) -> list[str]:
    """Return the constants a module assigns itself; imported ones are another's."""
    tree = ast.parse(Path(str(module.__file__)).read_text(encoding="utf-8"))
    names: list[str] = []
    for node in tree.body:
        targets = node.targets if isinstance(node, ast.Assign) else []
        if isinstance(node, ast.AnnAssign) and node.value is not None:
            targets = [node.target]
        for target in targets:
            parts = target.elts if isinstance(target, ast.Tuple) else [target]
            names += [part.id for part in parts if isinstance(part, ast.Name)]
    return [name for name in names if _SHOUTED.fullmatch(name)]


def _numbers(value: object, path: Path_) -> Iterator[Path_]:
    if isinstance(value, Decimal | Fraction | Quantity):
        number = value.value if isinstance(value, Quantity) else value
        if number:
            yield path
    elif isinstance(value, Mapping):
        for key, inner in value.items():
            yield from _numbers(inner, (*path, key))
    elif isinstance(value, tuple | list):
        for index, inner in enumerate(value):
            yield from _numbers(inner, (*path, index))
    elif is_dataclass(value) and not isinstance(value, type):
        for field in fields(value):
            yield from _numbers(getattr(value, field.name), (*path, field.name))


def _moved(value: Any, path: Path_) -> Any:
    """Return a copy with one number one per cent larger; a count is one larger."""
    if not path:
        if isinstance(value, Quantity):
            return Quantity(_moved(value.value, ()), value.unit)
        if isinstance(value, Fraction):
            return value * _PER_CENT
        return value * Decimal("1.01")
    step, *rest = path
    inner = tuple(rest)
    if isinstance(value, Mapping):
        return {k: _moved(v, inner) if k == step else v for k, v in value.items()}
    if isinstance(value, tuple | list):
        return tuple(
            _moved(v, inner) if index == step else v for index, v in enumerate(value)
        )
    return replace(value, **{str(step): _moved(getattr(value, str(step)), inner)})


@contextmanager
def moved(constant: Constant) -> Iterator[None]:
    """Move one constant everywhere the domain holds it, for as long as this lasts."""
    held = getattr(sys.modules[constant.module], constant.name)
    new = _moved(held, constant.path)
    with ExitStack() as stack:
        for module in domain_modules():
            for name, value in vars(module).items():
                if value is held:
                    stack.enter_context(patch.object(module, name, new))
        _forget()
        stack.callback(_forget)
        yield


def _forget() -> None:
    """Empty every cache of the domain, which would remember the number before."""
    for module in domain_modules():
        for value in vars(module).values():
            clear = getattr(value, "cache_clear", None)
            if clear is not None and not isinstance(value, type):
                clear()


def notices(row: Row) -> bool:
    """Return whether a row no longer agrees; a calculation that breaks notices too."""
    try:
        return differs(row) != ""
    except (ValueError, ArithmeticError, KeyError, TypeError, StopIteration):
        return True


def noticed_by() -> dict[str, str]:
    """Return for each constant the row that was seen to notice it."""
    with TABLE.open(encoding="utf-8", newline="") as file:
        return {line["constant"]: line["row"] for line in csv.DictReader(file)}


def noticing_row(constant: Constant, rows: list[Row]) -> str:
    """Return the name of the first row that notices, or nothing."""
    near = [row for row in rows if constant.module in _walked(row["calculation"])]
    words = [str(step) for step in constant.path]
    near.sort(key=lambda row: -sum(w in row["given"] + row["terms"] for w in words))
    with moved(constant):
        return next((row["case"] for row in near if notices(row)), "")


@cache
def _walked(calculation: str) -> frozenset[str]:
    """Return the domain modules that a calculation's own module leads to."""
    known = {module.__name__: module for module in domain_modules()}
    found: set[str] = set()
    ahead = [CALCULATIONS[calculation].run.__module__]
    while ahead:
        name = ahead.pop()
        if name in known and name not in found:
            found.add(name)
            ahead += _imported(known[name])
    return frozenset(found)


@cache
def _imported(module: ModuleType) -> tuple[str, ...]:
    tree = ast.parse(Path(str(module.__file__)).read_text(encoding="utf-8"))
    return tuple(
        name
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and node.module
        for name in (
            node.module,
            *(f"{node.module}.{each.name}" for each in node.names),
        )
    )


def main() -> None:
    """Write down the first row that notices each constant; name those that have none."""
    rows = outside_rows()
    pairs = [(str(each), noticing_row(each, rows)) for each in constants()]
    with TABLE.open("w", encoding="utf-8", newline="") as file:
        lines = csv.writer(file, lineterminator="\n")
        lines.writerow(("constant", "row"))
        lines.writerows(pair for pair in pairs if pair[1])
    for constant, row in pairs:
        if not row:
            sys.stdout.write(f"no row notices {constant}\n")


if __name__ == "__main__":
    main()
