"""The shape of a packet's snapshot: what the renderer gets, and all that it gets.

A snapshot is plain JSON: texts, whole numbers, lists and objects, never a float, so
that its canonical text and its hash are the same on every machine. It is made once, from
one reading of the database as known at the cut, and never asked for more.

How things stand in it:

- an instant is a `Moment`: UTC, and the job's wall clock already written out with its
  zone, so that a later zone table changes no byte;
- a date is `2026-08-12`;
- a measured or computed number is the text to be printed, its unit behind a no-break
  space (`project.charts.text.quantity_text`); the unit moves into the column's head when the whole column shares it;
- an empty text or `None` means that there is nothing on record, and prints as such;
- a conclusion is a `Mark` (the stamp) and, where it was judged, the key of a `Verdict`
  in `verdicts`, where every reason stands once;
- lists are in the order of their codes or numbers, never in order of keys or of entry;
- words are in the packet's language, as the builder found or wrote them.

`SNAPSHOT` is the number of this shape: a change that an older reader would misread
raises it. `LAYOUT` numbers the drawing: the same snapshot drawn by the same layout is the
same file, byte for byte, before signature.
"""

from __future__ import annotations

from inspections.packet.shape.basics import (
    Mark,
    Moment,
    Reason,
    Verdict,
    mark,
)
from inspections.packet.shape.reports import (
    DeficientRow,
    Line,
    LoadRow,
    Report,
    ReportPlaced,
    RoundRow,
    Signed,
    WeatherRow,
)
from inspections.packet.shape.sections import (
    CoreResult,
    Deficiencies,
    Deficiency,
    ItemCount,
    Ledger,
    Nonconformance,
    NotQualified,
    NozzleTime,
    Owed,
    PanelState,
    Photograph,
    Placed,
    Roster,
    Series,
    Setting,
    Shift,
    StrengthSet,
    Told,
    Total,
    Work,
)
from inspections.packet.shape.snapshot import (
    Change,
    Cut,
    Day,
    Decision,
    Departure,
    Figure,
    Hand,
    Job,
    Missing,
    Open,
    Packet,
    Recipient,
    Record,
    Sections,
    Snapshot,
    Summary,
    Terms,
)

SNAPSHOT = 1
LAYOUT = 1

__all__ = [
    "LAYOUT",
    "SNAPSHOT",
    "Change",
    "CoreResult",
    "Cut",
    "Day",
    "Decision",
    "Deficiencies",
    "Deficiency",
    "DeficientRow",
    "Departure",
    "Figure",
    "Hand",
    "ItemCount",
    "Job",
    "Ledger",
    "Line",
    "LoadRow",
    "Mark",
    "Missing",
    "Moment",
    "Nonconformance",
    "NotQualified",
    "NozzleTime",
    "Open",
    "Owed",
    "Packet",
    "PanelState",
    "Photograph",
    "Placed",
    "Reason",
    "Recipient",
    "Record",
    "Report",
    "ReportPlaced",
    "Roster",
    "RoundRow",
    "Sections",
    "Series",
    "Setting",
    "Shift",
    "Signed",
    "Snapshot",
    "StrengthSet",
    "Summary",
    "Terms",
    "Told",
    "Total",
    "Verdict",
    "WeatherRow",
    "Work",
    "mark",
]
