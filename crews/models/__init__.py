"""Who may shoot, who shot, what the panels and cores said."""

from crews.models.crews import Crew, CrewMember, Rig, RigEquivalence
from crews.models.granting import CalendarAddress, Waiver
from crews.models.laboratory import LabReport, LabResult
from crews.models.panels import Core, Panel, PanelJudgement, VisualRating
from crews.models.people import (
    Certification,
    Enrolment,
    Experience,
    HoursStatement,
    Operator,
    Suspension,
)
from crews.models.shooting import (
    Eligibility,
    NozzleTime,
    Placement,
    PlannedOperator,
    PlannedPlacement,
    Presence,
    Shift,
)

__all__ = [
    "CalendarAddress",
    "Certification",
    "Core",
    "Crew",
    "CrewMember",
    "Eligibility",
    "Enrolment",
    "Experience",
    "HoursStatement",
    "LabReport",
    "LabResult",
    "NozzleTime",
    "Operator",
    "Panel",
    "PanelJudgement",
    "Placement",
    "PlannedOperator",
    "PlannedPlacement",
    "Presence",
    "Rig",
    "RigEquivalence",
    "Shift",
    "Suspension",
    "VisualRating",
    "Waiver",
]
