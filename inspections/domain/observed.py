"""Words of what an inspector records beside the catalogue's answers."""

from __future__ import annotations

from collections.abc import Mapping
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


# What each test is measured in. Source: dimensions of the quantities themselves.
FRESH_TEST_DIMENSIONS: Mapping[FreshTestKind, str] = {
    FreshTestKind.SLUMP: "length",
    FreshTestKind.AIR: "share",
    FreshTestKind.TEMPERATURE: "temperature",
    FreshTestKind.UNIT_WEIGHT: "density",
    FreshTestKind.ACCELERATOR: "share",
}


class ReadingKind(StrEnum):
    """What is measured at a place of the work or of the rig."""

    THICKNESS = "thickness"
    LAYER_THICKNESS = "layer thickness"
    SURFACE_TEMPERATURE = "surface temperature"
    AIR_PRESSURE = "air pressure"
    WATER_PRESSURE = "water pressure"


# What each reading is measured in. Source: dimensions of the quantities themselves.
READING_DIMENSIONS: Mapping[ReadingKind, str] = {
    ReadingKind.THICKNESS: "length",
    ReadingKind.LAYER_THICKNESS: "length",
    ReadingKind.SURFACE_TEMPERATURE: "temperature",
    ReadingKind.AIR_PRESSURE: "pressure",
    ReadingKind.WATER_PRESSURE: "pressure",
}


class RemarkKind(StrEnum):
    """What a sentence on the sheet is about."""

    INSTRUCTION = "instruction"
    REQUEST = "request"
    VISITOR = "visitor"
    SAFETY = "safety"
    NO_WORK = "no work"
    NOTE = "note"
