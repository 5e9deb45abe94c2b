"""Who may shoot, who shot, what the panels and cores said."""

from crews.models.laboratory import LabReport, LabResult
from crews.models.panels import Core, Panel, PanelJudgement
from crews.models.people import Certification, Enrolment, Operator, Suspension
from crews.models.shooting import (
    Crew,
    CrewMember,
    Eligibility,
    NozzleTime,
    Placement,
    Presence,
    Rig,
    RigEquivalence,
    Shift,
)

__all__ = [
    "Certification",
    "Core",
    "Crew",
    "CrewMember",
    "Eligibility",
    "Enrolment",
    "LabReport",
    "LabResult",
    "NozzleTime",
    "Operator",
    "Panel",
    "PanelJudgement",
    "Placement",
    "Presence",
    "Rig",
    "RigEquivalence",
    "Shift",
    "Suspension",
]
