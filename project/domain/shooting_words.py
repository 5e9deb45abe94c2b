"""Words of shooting that parts and mix revisions need as much as operators do."""

from __future__ import annotations

from enum import StrEnum


class Process(StrEnum):
    """How the material reaches the nozzle.

    Wet-mix: water is in before the pump; dry-mix: water is added at the nozzle
    (ACI 506R, from memory).
    """

    WET = "wet"
    DRY = "dry"


class Position(StrEnum):
    """How the face lies that is shot. Nobody has said yet: unclassified."""

    VERTICAL = "vertical"
    OVERHEAD = "overhead"
    SLOPED = "sloped"
    HORIZONTAL = "horizontal"
    UNCLASSIFIED = "unclassified"
