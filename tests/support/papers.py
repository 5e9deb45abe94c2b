"""Papers that pages give out, kept beside the demo: it has none of its own."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from crews.actions.experience import state_experience
from crews.actions.people import CardEntry, record_certification
from crews.domain.trade_words import Level, Method
from crews.models import Operator
from crews.views.imports import imports_folder
from project.actions.files import keep_bytes
from project.domain.shooting_words import Position, Process
from project.models import Membership, new_id


def keep_papers(qc: Membership) -> dict[str, Any]:
    """Keep a scan, the paper of a statement, and a file that was not saved yet."""
    operator = Operator.objects.get(badge_number="BC-014")
    paper = (b"%PDF-1.7 %%EOF", "paper.pdf")
    card = record_certification(
        id=new_id(),
        by=qc,
        operator=operator,
        card=CardEntry(
            scheme="CP-60",
            number="DV-1",
            method=Method.HAND,
            level=Level.FULL,
            classes=[(Process.DRY, Position.VERTICAL)],
            issued_on=date(2026, 9, 1),
            expires_on=date(2031, 9, 1),
        ),
        scan=paper,
    )
    stated = state_experience(
        id=new_id(),
        by=qc,
        operator=operator,
        process=Process.DRY,
        hours=Decimal(40),
        stated_on=date(2026, 9, 1),
        stated_by="An earlier employer",
        paper=paper,
    )
    firm, file = qc.organization_id, b"badge number,legal name\nX-900,Somebody New\n"
    digest = keep_bytes(imports_folder(firm), file)
    ids = {"scanned card": card.pk, "stated": stated.pk}
    return ids | {"firm": firm, "digest": digest}
