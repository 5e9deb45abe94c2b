"""What the people of the wall do over and over, each with a usual answer to the rest."""

from __future__ import annotations

from datetime import date

from crews.actions.people import record_certification
from crews.models import Certification
from inspections.actions.deficiencies import open_deficiency, raise_nonconformance
from inspections.actions.loads import LoadAsCame, record_load
from inspections.actions.moves import make_move
from inspections.actions.photographs import add_photograph
from inspections.actions.reports import add_remark
from inspections.actions.signing import review_report, sign_report
from inspections.models import (
    Load,
    Move,
    Nonconformance,
    Photo,
    ReportVersion,
)
from inspections.queries.content import content_now
from project import clock
from project.domain.canonical import sha256_of
from project.models import new_id
from project.queries.jobs import now_on
from tests.factories import card, shoot
from tests.inspections.wall import DAY, at, q
from tests.support.hostile import jpeg

MEANING = "I was present and recorded what I saw"
# A load whose last shot lies before it was batched: kept, and flagged.
SHOT_TOO_SOON = {
    "batched_at": at("08:02"),
    "arrived_at": None,
    "first_shot_at": None,
    "last_shot_at": at("07:49"),
}


def truck(**changes) -> LoadAsCame:
    facts = {
        "kind": "truck",
        "truck": "1",
        "ticket": "52163",
        "volume": q("3.3", "yd3"),
        "batched_at": at("06:25"),
        "arrived_at": at("06:52"),
        "first_shot_at": at("06:55"),
        "last_shot_at": at("07:49"),
    }
    return LoadAsCame(**(facts | changes))


def load(wall, **changes) -> Load:
    return record_load(
        id=new_id(),
        by=wall.inspector,
        shift=wall.shift,
        report=wall.report,
        placement=wall.placement,
        load=truck(**changes),
    )


def remark(wall, **changes):
    facts = {
        "id": new_id(),
        "by": wall.inspector,
        "report": wall.report,
        "kind": "note",
        "words": "Owner's QA manager on site.",
        "at": at("09:00"),
    }
    return add_remark(**(facts | changes))


def raise_one(wall, about, **changes) -> Nonconformance:
    facts = {
        "id": new_id(),
        "by": wall.inspector,
        "about": about,
        "requirement": "mix W-45A rev 2: air 5.5-8.5 % at the pump",
        "words": "Air 4.9 %, retest 4.8 %.",
        "observed_at": at("10:05"),
        "written_at": at("10:20"),
        "part": wall.part,
    }
    return raise_nonconformance(**(facts | changes))


def correct(wall, deficiency, by="Ngozi Eberechi", **changes) -> Move:
    facts = {
        "id": new_id(),
        "by": wall.inspector,
        "subject": deficiency,
        "move": "correct",
        "at": at("09:33"),
        "words": "Washed, sheet tied over the dowels.",
        "evidence": {"corrected_by": by},
    }
    return make_move(**(facts | changes))


def find_right(wall, deficiency, **changes) -> Move:
    facts = {
        "id": new_id(),
        "by": wall.inspector,
        "subject": deficiency,
        "move": "find right",
        "at": at("09:36"),
    }
    return make_move(**(facts | changes))


def shown(wall, report=None) -> str:
    sheet = report or wall.report
    return sha256_of(content_now(sheet, known_at=now_on(wall.job)))


def sign(wall, member=None, report=None, **changes) -> ReportVersion:
    member = member or wall.inspector
    report = report or wall.report
    facts = {
        "id": new_id(),
        "by": member,
        "report": report,
        "content_sha256": shown(wall, report),
        "conforming": True,
        "printed_name": member.user.printed_name,
        "meaning": MEANING,
        "statement": "",
        "proof": wall.proof(member),
    }
    return sign_report(**(facts | changes))


def review(wall, member=None, **changes) -> Move:
    member = member or wall.reviewer
    facts = {
        "id": new_id(),
        "by": member,
        "report": wall.report,
        "printed_name": member.user.printed_name,
        "meaning": "reviewed for the inspection agency",
        "proof": wall.proof(member),
    }
    return review_report(**(facts | changes))


def find(wall, **changes):
    facts = {
        "id": new_id(),
        "by": wall.inspector,
        "item": "place-overspray",
        "seen_at": at("09:00"),
        "report": wall.report,
        "part": wall.part,
    }
    return open_deficiency(**(facts | changes))


def photograph(wall, **changes) -> Photo:
    facts = {
        "id": new_id(),
        "by": wall.inspector,
        "raw": jpeg(),
        "name": "IMG_0018.jpg",
        "report": wall.report,
        "placement": wall.placement,
        "item": "place-overspray",
        "at": at("09:00"),
        "caption": "Dowels, downwind side",
    }
    return add_photograph(**(facts | changes))


def shot(wall, start="07:10", stop="09:30"):
    """Let the first operator hold the nozzle of the day's placement."""
    return shoot(
        wall.site, wall.placement, wall.operator, f"{DAY} {start}", f"{DAY} {stop}"
    )


def correct_card(wall, ends=date(2026, 8, 10), when="2026-08-18 09:00"):
    """Read the first operator's card again: it ended before the day."""
    old = Certification.objects.known_at(at(when)).get(operator=wall.operator)
    with clock.set_to(at(when)):
        return record_certification(
            id=new_id(),
            by=wall.qc,
            operator=wall.operator,
            card=card(number=old.number, expires_on=ends),
            supersedes=old,
            reason="year mistyped",
        )
