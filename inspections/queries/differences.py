"""What one version of a sheet says that another does not."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Difference:
    """One place of a sheet, as it was and as it is; nothing where it is absent."""

    where: str
    before: str
    after: str


def differences(before: Any, after: Any, *, where: str = "") -> tuple[Difference, ...]:
    """Return where two contents differ, down to the single figure.

    Lists of one length are compared line by line; a line more or less is told whole.

    >>> differences({"a": [1, 2]}, {"a": [1, 3]})
    (Difference(where='a 2', before='2', after='3'),)
    """
    if before == after:
        return ()
    if isinstance(before, dict) and isinstance(after, dict):
        return tuple(
            found
            for key in dict.fromkeys((*before, *after))
            for found in differences(
                before.get(key), after.get(key), where=f"{where} {key}".strip()
            )
        )
    if _lines(before) and _lines(after):
        if len(before) == len(after):
            return tuple(
                found
                for n, (one, other) in enumerate(
                    zip(before, after, strict=True), start=1
                )
                for found in differences(one, other, where=f"{where} {n}".strip())
            )
        return _more_or_less(before, after, where)
    return (Difference(where, _said(before), _said(after)),)


def _more_or_less(
    before: list[Any], after: list[Any], where: str
) -> tuple[Difference, ...]:
    gone = [Difference(where, _said(one), "") for one in before if one not in after]
    new = [Difference(where, "", _said(one)) for one in after if one not in before]
    return (*gone, *new)


def _lines(value: Any) -> bool:
    """Say whether a value is a list of lines, not a figure with its unit."""
    return isinstance(value, list) and not (
        len(value) == 2 and all(isinstance(part, str) for part in value)
    )


def _said(value: Any) -> str:
    if value is None or value == "":
        return ""
    if isinstance(value, dict):
        if "local" in value:
            return str(value["local"])
        return ", ".join(said for one in value.values() if (said := _said(one)))
    if isinstance(value, list):
        return " ".join(_said(one) for one in value)
    return str(value)
