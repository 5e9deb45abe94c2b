"""Words of the crew and its panels. Process and position stand in the kernel."""

from __future__ import annotations

from enum import StrEnum


class Method(StrEnum):
    """Whether a person or a machine's arm carries the nozzle."""

    HAND = "hand"
    ROBOTIC = "robotic"

    @property
    def by(self) -> str:
        """How a sentence names it."""
        return "by hand" if self is Method.HAND else "by machine"


class Level(StrEnum):
    """The level printed on a card, the better one first."""

    FULL = "full"
    IN_TRAINING = "in training"


class PanelKind(StrEnum):
    """What a panel is for. In-place cores are a panel of the last kind."""

    PRECONSTRUCTION_MATERIAL = "preconstruction material"
    MOCK_UP = "mock-up"
    FINISH_SAMPLE = "finish sample"
    PRODUCTION = "production"
    IN_PLACE = "in place"


class PresenceRole(StrEnum):
    """What somebody does at the wall."""

    BLOWPIPE = "blowpipe"
    FINISHER = "finisher"
    GUN = "gun"
    PUMP = "pump"
    HOSE = "hose"
    FOREMAN = "foreman"
    SUPERVISOR = "supervisor"
    INSPECTOR = "inspector"


class DecisionOutcome(StrEnum):
    """What the engineer, or for a finish sample the architect, decided of a panel."""

    ACCEPTED = "accepted"
    ACCEPTED_UNDER_SUPERVISION = "accepted under supervision"
    REJECTED = "rejected"
    SUBSTITUTE_ACCEPTED = "substitute accepted"


class Trade(StrEnum):
    """What a member of a crew is on its list for."""

    FOREMAN = "foreman"
    BLOWPIPE = "blowpipe"
    PUMP = "pump"
    GUN = "gun"
    FINISHER = "finisher"
    HOSE = "hose"


class RigKind(StrEnum):
    """What moves the material to the nozzle."""

    WET_PUMP = "wet pump"
    DRY_GUN = "dry gun"
    ROBOT = "robotic arm"


class ShiftName(StrEnum):
    """Which of a work date's shifts."""

    DAY = "day"
    EVENING = "evening"
    NIGHT = "night"


class Moment(StrEnum):
    """When a conclusion about an operator was frozen."""

    ASKED = "asked"
    TAKE = "take"
    WHOLE_INTERVAL = "whole interval"
    PLAN = "plan"


class WaivedGate(StrEnum):
    """What the engineer may waive in writing; nobody waives a card.

    Source: project's choice, no published rule found.
    """

    MOCK_UP = "mock-up equivalence"
    IDLE = "idle limit"
    RIG = "rig"


class RatingDecision(StrEnum):
    """The word on the faces of a panel's cores, looked at as a group (ACI 506.6T)."""

    ACCEPTABLE = "acceptable"
    NOT_ACCEPTABLE = "not acceptable"
    MORE_WANTED = "more cores wanted"


class VolumeBasis(StrEnum):
    """How the volume of a nozzle time is known, where it was written down."""

    FACE = "the face shot, neat"
    LOADS = "loads shared at hand-over"


class CoreReinforcement(StrEnum):
    """What metal a core held when it was tested."""

    NONE = "none"
    BAR = "bar"
    MESH = "mesh"
