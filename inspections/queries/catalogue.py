"""Read the reviewed editions of the observation catalogue from their files."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import Any

import yaml

from inspections.domain.catalogue import Edition
from inspections.domain.catalogue_reading import CatalogueError, digest, parse_edition

# Both read plain data only; the one in C, where PyYAML has it, is ten times faster.
_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

_FOLDER = Path(__file__).resolve().parents[1] / "catalogue"

# An edition is pinned when it is released and never edited afterwards: a signed round
# names it, and its words must stay those the inspector read.
PINNED = {
    "1.0.0": "be8df133530cb56068da4f6bf51bfd12952500bf553e39e86218296797732519",
}
CURRENT = "1.0.0"


def edition(version: str = CURRENT) -> Edition:
    """Return an edition of the catalogue, read once per process.

    Raises ValueError for an edition that does not exist, CatalogueError for one whose
    content is not what was pinned.
    """
    return _read(version)


@lru_cache(maxsize=len(PINNED))  # the same entry whether the version was named or not
def _read(version: str) -> Edition:
    if version not in PINNED:
        allowed = ", ".join(PINNED)
        raise ValueError(f"catalogue edition {version!r}: allowed are {allowed}")
    head, pages = plain(version)
    found = digest(head, pages=pages)
    if found != PINNED[version]:
        raise CatalogueError(
            f"catalogue edition {version} was changed: its content hashes to {found}, "
            f"pinned is {PINNED[version]}. A change of words is a new edition."
        )
    return parse_edition(head, pages=pages)


def plain(version: str) -> tuple[object, list[object]]:
    """Return an edition's head and pages as its files hold them."""
    folder = _FOLDER / version
    pages = sorted(
        path for path in folder.glob("*.yaml") if path.name != "edition.yaml"
    )
    head = folder / "edition.yaml"
    return _load(head), [_load(path) for path in pages]


def _load(path: Path) -> object:
    return yaml.load(path.read_text(encoding="utf-8"), Loader=_LOADER)  # noqa: S506
