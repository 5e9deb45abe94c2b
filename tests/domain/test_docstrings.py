"""Every public function and class of the domain says where it is from and what it takes.

A function's docstring has a sentence, its source and an executed example (the test run
executes them all); one that takes bare numbers names their units in square brackets or
says that any unit will do; one that takes a number says which are refused, or that any
will do.
"""

from __future__ import annotations

import ast
import doctest
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
APPS = ("project", "crews", "inspections")

# Whole files that are no rules, each with its reason.
NO_RULES = {
    "crews/domain/examples.py": "facts that the doctests of other rooms speak of",
}

_BARE = re.compile(r"\b(Decimal|int|Fraction|float)\b")
_NUMBER = re.compile(r"\b(Decimal|int|Fraction|float|Quantity)\b")
_UNIT = re.compile(r"\[[^\]\n]+\]|\bunits?\b")
_RANGE = re.compile(r"\bRaises\b|\b[Aa]ny\b")


def sources() -> Iterator[tuple[str, ast.Module]]:
    """Yield every file of the domain, by its path."""
    for app in APPS:
        for file in sorted((ROOT / app / "domain").rglob("*.py")):
            path = str(file.relative_to(ROOT))
            if path not in NO_RULES:
                yield path, ast.parse(file.read_text(encoding="utf-8"))


SOURCES = dict(sources())


def faults(node: ast.FunctionDef | ast.ClassDef) -> list[str]:
    """Return what a docstring lacks."""
    told = ast.get_docstring(node) or ""
    if isinstance(node, ast.ClassDef):
        return [] if told else ["no sentence"]
    words, _example, _rest = told.partition(">>>")
    found = []
    if not words.strip():
        found.append("no sentence")
    if "Source:" not in words:
        found.append("no source")
    if not doctest.DocTestParser().get_examples(told):
        found.append("no executed example")
    taken = _annotations(node)
    if any(_BARE.search(each) for each in taken) and not _UNIT.search(words):
        found.append("a bare number without its unit")
    if any(_NUMBER.search(each) for each in taken) and not _RANGE.search(words):
        found.append("a number without its range")
    return found


def _annotations(function: ast.FunctionDef) -> list[str]:
    every = function.args
    arguments = [*every.posonlyargs, *every.args, *every.kwonlyargs]
    return [ast.unparse(each.annotation) for each in arguments if each.annotation]


def _public(tree: ast.Module) -> Iterator[ast.FunctionDef | ast.ClassDef]:
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and node.name[0] != "_":
            yield node


@pytest.mark.parametrize("path", SOURCES)
def test_each_public_name_says_its_source_units_range_and_example(path):
    found = [
        f"{path}:{node.lineno} {node.name}: {', '.join(lacking)}"
        for node in _public(SOURCES[path])
        if (lacking := faults(node))
    ]
    assert found == []


def test_there_is_much_to_look_at_and_every_exception_is_still_there():
    names = [node for tree in SOURCES.values() for node in _public(tree)]
    assert sum(isinstance(node, ast.FunctionDef) for node in names) > 150
    assert all((ROOT / path).is_file() for path in NO_RULES)


@pytest.mark.parametrize(
    ("text", "lacking"),
    [
        ("def f(): ...", ["no sentence", "no source", "no executed example"]),
        ("def f():\n  'S. Source: s.\\n\\n>>> 1\\n1'", []),
        ("def f():\n  'S.\\n\\n>>> 1  # Source: s\\n1'", ["no source"]),
        (
            "def f(a: Decimal):\n  'S. Source: s.\\n\\n>>> 1\\n1'",
            [
                "a bare number without its unit",
                "a number without its range",
            ],
        ),
        ("def f(*, a: int):\n  'S [1]. Any. Source: s.\\n\\n>>> 1\\n1'", []),
        (
            "def f(a: Quantity):\n  'S. Source: s.\\n\\n>>> 1\\n1'",
            ["a number without its range"],
        ),
        ("def f(a: Quantity):\n  'Raises. Source: s.\\n\\n>>> 1\\n1'", []),
        ("def f(a: str):\n  'S. Source: s.\\n\\n>>> 1\\n1'", []),
        ("class A: ...", ["no sentence"]),
        ("class A:\n  'S.'", []),
    ],
)
def test_what_a_docstring_lacks_is_seen(text, lacking):
    (node,) = ast.parse(text).body
    assert isinstance(node, ast.FunctionDef | ast.ClassDef)
    assert faults(node) == lacking
