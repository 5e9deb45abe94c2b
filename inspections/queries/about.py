"""What a nonconformance report may be about: records of the job, named for choice."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from crews.models import NozzleTime, Placement
from crews.queries.operator_files import own_firm
from crews.queries.panels import panels
from inspections.models import Load
from project.models import Job, Membership
from project.queries.jobs import parts


def about_rows(
    job: Job, member: Membership, *, known_at: datetime
) -> list[tuple[Any, str]]:
    """Return the records the member may raise a report about. Twelve queries.

    Placements, nozzle times, loads and panels, the latest first, then the parts.
    """
    firm = own_firm(member)
    placements = Placement.objects.known_at(known_at).filter(job=job)
    times = NozzleTime.objects.known_at(known_at).filter(job=job)
    loads = Load.objects.known_at(known_at).filter(job=job)
    if firm is not None:
        placements = placements.filter(shift__organization=firm)
        times = times.filter(placement__shift__organization=firm)
        loads = loads.filter(shift__organization=firm)
    return [
        *(
            (row, f"{row.code}, {row.part.code}")
            for row in placements.select_related("part").order_by("-code")
        ),
        *(
            (row, f"{row.placement.code}, {row.operator}")
            for row in times.select_related("placement", "operator").order_by(
                "-started_at", "id"
            )
        ),
        *(
            (row, f"{row.shift.work_date:%Y-%m-%d}, {row}")
            for row in loads.select_related("shift").order_by(
                "-shift__work_date", "order", "id"
            )
        ),
        *(
            (panel.row, panel.code)
            for panel in panels(
                job,
                known_at=known_at,
                on=job.local(known_at).date(),
                for_member=member,
            )
        ),
        *((row.part, row.code) for row in parts(job, known_at=known_at)),
    ]
