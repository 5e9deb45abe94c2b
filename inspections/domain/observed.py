"""Words of what an inspector records beside the catalogue's answers."""

from __future__ import annotations

from enum import StrEnum


class LoadKind(StrEnum):
    """How a load comes: by truck with a ticket, or as a bag of a lot."""

    TRUCK = "truck"
    BAG = "bag"


class FreshTestKind(StrEnum):
    """What is tested on fresh concrete."""

    SLUMP = "slump"
    AIR = "air"
    TEMPERATURE = "temperature"
    UNIT_WEIGHT = "unit weight"
    ACCELERATOR = "accelerator"


class RemarkKind(StrEnum):
    """What a sentence on the sheet is about."""

    INSTRUCTION = "instruction"
    REQUEST = "request"
    VISITOR = "visitor"
    SAFETY = "safety"
    NO_WORK = "no work"
    NOTE = "note"
