"""The owner's packet: prepared, reviewed by somebody else, issued, revised."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import TypeVar
from uuid import UUID

from django.conf import settings
from django.utils.translation import gettext as _

from inspections.actions.moves import moved
from inspections.models import Move, Packet, PacketRecord
from inspections.packet.build import build_pdf
from inspections.packet.gathering import (
    Gathered,
    Hands,
    changed_since,
    days_of,
    gather,
    reading_of,
)
from inspections.packet.pictures import folder
from inspections.packet.shape import LAYOUT
from inspections.queries.packets import packet_moves, week_packet
from project import clock
from project.actions.abilities import require
from project.actions.checks import (
    of_job,
    refuse,
    sent_before,
)
from project.actions.files import keep_bytes, read_kept
from project.actions.signatures import Proof, sign
from project.audit import Deed, act
from project.domain.canonical import canonical, sha256_of
from project.domain.identity import derived
from project.domain.roles import Ability
from project.models import Job, Membership
from project.queries.jobs import now_on, terms_revisions

H = TypeVar("H")


@dataclass(frozen=True, slots=True)
class Issued:
    """An issued packet, what changed since, and whether this call issued it."""

    packet: Packet
    changed: int
    new: bool


def store() -> Path:
    """Return the folder of issued files and their snapshots."""
    return Path(settings.MEDIA_ROOT) / "packets"


def issued_file(packet: Packet) -> bytes:
    """Return an issued packet's file. Raises DamagedFile where it is not as issued."""
    return read_kept(store(), packet.file_sha256, suffix=".pdf")


def prepare_packet(*, id: UUID, by: Membership, day: date, reason: str = "") -> Packet:
    """Prepare the packet of the week a day lies in; of an issued one, a revision.

    What it will say is fixed by its cut, the end of the week; nothing is drawn yet.
    """
    require(by, Ability.PREPARE_PACKET)
    job = by.job
    first, last, cut = days_of(job, day)
    now = clock.now()
    if cut > now:
        message = _("The week to %(last)s is not over; allowed is a week that is.")
        refuse("day", message, last=last.isoformat())
    _under_terms(job, last)
    with act(on=job, by=by, verb="packet.prepared") as deed:
        if there := sent_before(deed, Packet, id, job_id=job.pk):
            return there
        revisions = list(Packet.objects.filter(job=job, from_on=first))
        latest = max(revisions, key=lambda row: row.revision, default=None)
        if latest is not None:
            _may_be_revised(latest, reason)
        numbers = Packet.objects.filter(job=job).values_list("number", flat=True)
        return deed.add(
            Packet(
                id=id,
                job=job,
                number=latest.number if latest else max(numbers, default=0) + 1,
                revision=latest.revision + 1 if latest else 0,
                from_on=first,
                to_on=last,
                cut_at=cut if latest is None else deed.at,
                reason=reason.strip() if latest else "",
            )
        )


def _under_terms(job: Job, last: date) -> None:
    """Refuse a week before the contract's: its number would be kept for ever."""
    revisions = terms_revisions(job, known_at=now_on(job))
    first = min((row.effective_on for row in revisions), default=last)
    if last < first:
        message = _(
            "The week to %(last)s lies before the contract's terms; allowed is a week "
            "from %(first)s on."
        )
        refuse("day", message, last=last.isoformat(), first=first.isoformat())


def _may_be_revised(latest: Packet, reason: str) -> None:
    if not latest.file_sha256:
        message = _("%(packet)s is prepared and not issued; issue it first.")
        refuse("day", message, packet=latest)
    if not reason.strip():
        message = _(
            "%(packet)s was issued; a revision needs a reason that its reader is told."
        )
        refuse("reason", message, packet=latest)


def review_packet(
    *,
    id: UUID,
    by: Membership,
    packet: Packet,
    printed_name: str,
    proof: Proof,
    meaning: str = "",
) -> Move:
    """Put a second person's name to what the packet will say."""
    require(by, Ability.REVIEW_PACKET)
    of_job(by.job, packet=packet)
    _by_a_second_person(by, packet)
    drafted = _gathered(packet, Hands(prepared=_prepared(packet)))
    with act(on=by.job, by=by, verb="packet.reviewed") as deed:
        if there := sent_before(deed, Move, id, job_id=by.job_id):
            return there
        signature = sign(
            id=derived(id, "signature"),
            by=by,
            proof=proof,
            printed_name=printed_name,
            meaning=meaning or _("reviewed by a second person of the agency"),
            statement=str(packet),
            content_sha256=sha256_of(drafted.snapshot),
        )
        return moved(
            deed,
            id=id,
            by=by,
            subject=packet,
            move="review",
            given={"prepared_by": str(packet.recorded_by.user_id)},
            signature=signature,
        )


def _by_a_second_person(by: Membership, packet: Packet) -> None:
    """Say it by name before the table of moves says it by identity."""
    if by.user_id == packet.recorded_by.user_id:
        message = _(
            "%(packet)s was prepared by %(who)s; allowed is a second person of the agency."
        )
        refuse("by", message, packet=packet, who=by.user.printed_name)


def issue_packet(*, id: UUID, by: Membership, packet: Packet) -> Issued:
    """Draw a reviewed packet, keep its file by its hash, and issue it.

    The file is drawn before the act, so that nobody waits for it; drawn twice it is
    the same file.
    """
    require(by, Ability.ISSUE_PACKET)
    of_job(by.job, packet=packet)
    packet.refresh_from_db()
    if packet.file_sha256:
        return Issued(packet, changed=0, new=False)
    moves = packet_moves([packet], known_at=now_on(by.job)).get(packet.pk, [])
    review = next((move for move in reversed(moves) if move.move == "review"), None)
    if review is None:
        refuse("packet", _("%(packet)s is not reviewed yet."), packet=packet)
    at = now_on(by.job)
    hands = Hands(
        prepared=_prepared(packet),
        reviewed=(review.recorded_by, review.recorded_at),
        issued=(by, at),
    )
    gathered = _gathered(packet, hands)
    digest, size, pages = _drawn(gathered)
    snapshot = keep_bytes(
        store(), canonical(gathered.snapshot).encode(), suffix=".json"
    )
    with act(on=by.job, by=by, verb="packet.issued") as deed:
        kept = Packet.objects.get(pk=packet.pk)
        if kept.file_sha256:
            return Issued(kept, changed=0, new=False)
        deed.fill(
            kept,
            snapshot_sha256=snapshot,
            file_sha256=digest,
            file_bytes=size,
            pages=pages,
            layout_version=LAYOUT,
        )
        deed.add_all(
            PacketRecord(
                id=derived(packet.pk, str(one.row.pk)),
                job=by.job,
                packet=kept,
                record_kind=one.kind,
                record_id=one.row.pk,
                record_text=one.code,
                version=one.version,
                sha256=one.sha256,
            )
            for one in gathered.records
        )
        moved(
            deed,
            id=id,
            by=by,
            subject=kept,
            move="issue",
            at=at,
            evidence={"file_sha256": digest},
        )
        _supersede(deed, by, kept)
    return Issued(kept, changed=0, new=True)


def _supersede(deed: Deed, by: Membership, packet: Packet) -> None:
    """Mark the revision before as superseded, in the same act."""
    if packet.revision == 0:
        return
    before = Packet.objects.get(
        job=by.job, number=packet.number, revision=packet.revision - 1
    )
    moved(
        deed,
        id=derived(packet.pk, "supersedes"),
        by=by,
        subject=before,
        move="supersede",
        evidence={"reason": packet.reason},
    )


def _prepared(packet: Packet) -> tuple[Membership, datetime]:
    return packet.recorded_by, packet.recorded_at


def _gathered(packet: Packet, hands: Hands) -> Gathered:
    reading = reading_of(
        packet.job,
        packet.recorded_by,
        first=packet.from_on,
        last=packet.to_on,
        known_at=packet.cut_at,
    )
    before = PacketRecord.objects.filter(
        packet__job=packet.job,
        packet__number=packet.number,
        packet__revision=packet.revision - 1,
    )
    return gather(
        reading,
        number=packet.number,
        revision=packet.revision,
        hands=hands,
        reason=packet.reason,
        before=list(before) if packet.revision else (),
    )


def _drawn(gathered: Gathered) -> tuple[str, int, int]:
    """Draw a snapshot and keep its file; return hash, bytes and pages."""
    pictures = folder(Path(settings.MEDIA_ROOT) / "pictures")
    store().mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=store()) as work:
        out = Path(work) / "packet.pdf"
        built = build_pdf(gathered.snapshot, pictures=pictures, out=out)
        data = out.read_bytes()
    keep_bytes(store(), data, suffix=".pdf")
    return built.sha256, len(data), built.pages


def draft_of(packet: Packet, *, out: Path) -> None:
    """Draw a packet that is not issued yet, "draft" on each page; nothing is kept."""
    gathered = _gathered(packet, Hands(prepared=_prepared(packet)))
    pictures = folder(Path(settings.MEDIA_ROOT) / "pictures")
    build_pdf(gathered.snapshot, pictures=pictures, out=out)


def changed_since_issue(packet: Packet) -> int:
    """Return how many records of an issued packet read otherwise by now."""
    reading = reading_of(
        packet.job,
        packet.recorded_by,
        first=packet.from_on,
        last=packet.to_on,
        known_at=now_on(packet.job),
    )
    return changed_since(reading, list(packet.records.all()))


@dataclass(frozen=True, slots=True)
class Hand:
    """A member with the proof that they gave their password."""

    member: Membership
    proof: Proof


def issue_week(
    *,
    id: UUID,
    job: Job,
    day: date,
    preparer: Membership | None,
    reviewer: Hand | None,
    reason: str = "",
) -> Issued:
    """Issue the packet of a week in one go, from wherever it stands.

    On a week already issued the issued revision is returned, with how many records
    changed since, and nobody is needed; the next revision is issued only for a reason.
    """
    found = week_packet(job, day)
    if found is not None and found.issued and not reason.strip():
        changed = changed_since_issue(found.row)
        return Issued(found.row, changed=changed, new=False)
    if found is None or found.issued:
        by = _needed("prepared_by", preparer)
        packet = prepare_packet(id=id, by=by, day=day, reason=reason)
    else:
        packet = found.row
    hand = _needed("reviewed_by", reviewer)
    if found is None or found.state != "reviewed":
        review_packet(
            id=derived(packet.pk, "review"),
            by=hand.member,
            packet=packet,
            printed_name=hand.member.user.printed_name,
            proof=hand.proof,
        )
    return issue_packet(id=derived(packet.pk, "issue"), by=hand.member, packet=packet)


def _needed(name: str, hand: H | None) -> H:
    if hand is None:
        refuse(name, _("Nobody is named; allowed is a member of the agency."))
    return hand
