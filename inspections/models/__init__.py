"""What was seen, put right, and told."""

from inspections.models.deficiencies import Deficiency, Move, Nonconformance
from inspections.models.packets import Packet, PacketRecord
from inspections.models.reports import (
    DailyReport,
    FreshTest,
    Load,
    Photo,
    Reading,
    Remark,
    ReportVersion,
    Round,
    Weather,
)

__all__ = [
    "DailyReport",
    "Deficiency",
    "FreshTest",
    "Load",
    "Move",
    "Nonconformance",
    "Packet",
    "PacketRecord",
    "Photo",
    "Reading",
    "Remark",
    "ReportVersion",
    "Round",
    "Weather",
]
