"""A snapshot becomes a file: `build_pdf` is the packet's front door."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import IO

from django.utils import translation
from django.utils.translation import gettext as _

from inspections.packet.contents import Contents, Entry
from inspections.packet.flow import PAPERS, Flow, Footing
from inspections.packet.pictures import PictureStore
from inspections.packet.shape import LAYOUT, SNAPSHOT, Snapshot
from inspections.packet.sheets import (
    cover,
    deficiencies,
    ledger,
    nonconformances,
    photographs,
    record,
    reports,
    roster,
    strength,
    summary,
    work,
)
from inspections.packet.sheets.common import Section
from inspections.packet.words import missing_letters, when
from inspections.packet.writer import About, Writer
from project.domain.canonical import sha256_of


@dataclass(frozen=True, slots=True)
class BuiltPacket:
    """A packet's file: its hash, its pages, and what could not be shown in it."""

    sha256: str
    pages: int
    exceptions: tuple[str, ...]


def build_pdf(snapshot: Snapshot, *, pictures: PictureStore, out: Path) -> BuiltPacket:
    """Draw a snapshot into a file; the file appears whole or not at all.

    `pictures` gives the path of a JPEG by its SHA-256; one that is missing, damaged or
    carries camera notes becomes a placeholder and a line of `exceptions`. Raises
    ValueError for a snapshot or a layout of another number than this code draws.
    """
    given, drawn = (snapshot["snapshot"], snapshot["layout"]), (SNAPSHOT, LAYOUT)
    if given != drawn:
        raise ValueError(f"snapshot and layout {given}: this software draws {drawn}")
    descriptor, name = tempfile.mkstemp(dir=out.parent, prefix=".packet-")
    part = Path(name)
    try:
        with os.fdopen(descriptor, "w+b") as handle:
            with translation.override(snapshot["language"]):
                pages, exceptions = _draw(snapshot, pictures, handle)
            handle.flush()
            os.fsync(handle.fileno())
            handle.seek(0)
            digest = _hash(handle)
        part.replace(out)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    _settle(out.parent)
    return BuiltPacket(digest, pages, exceptions)


def _hash(handle: IO[bytes]) -> str:
    digest = sha256()
    while block := handle.read(1 << 20):
        digest.update(block)
    return digest.hexdigest()


def _settle(folder: Path) -> None:
    """Make the new name in its folder as lasting as the file itself."""
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


# The sections that need nothing but the snapshot, in the packet's order.
_PLAIN: dict[str, Callable[[Flow, Snapshot, Section], None]] = {
    "work": work.draw,
    "roster": roster.draw,
    "ledger": ledger.draw,
    "strength": strength.draw,
    "deficiencies": deficiencies.draw,
    "nonconformances": nonconformances.draw,
    "reports": reports.draw,
}


def _sections() -> dict[str, Section]:
    titles = {
        "summary": _("The week on one page"),
        "work": _("Work placed"),
        "roster": _("Who held the nozzle"),
        "ledger": _("Panels and cores"),
        "strength": _("Strength"),
        "deficiencies": _("Deficiencies"),
        "nonconformances": _("Nonconformance reports"),
        "reports": _("Daily field reports"),
        "photographs": _("Photographs"),
        "record": _("Record page"),
    }
    return {
        key: Section(n, key, title) for n, (key, title) in enumerate(titles.items(), 1)
    }


def _entries(snapshot: Snapshot, sections: dict[str, Section]) -> Iterable[Entry]:
    """Return the lines of the contents, in the order the sheets are drawn."""
    yield Entry(_("Cover"), "cover", 0)
    for section in sections.values():
        yield Entry(section.title, section.key, 0, str(section.number))
        if section.key == "reports":
            for sheet in snapshot["sections"]["reports"]:
                yield Entry(reports.title_of(sheet), reports.key_of(sheet), 1)


def _draw(
    snapshot: Snapshot, pictures: PictureStore, handle: IO[bytes]
) -> tuple[int, tuple[str, ...]]:
    digest = sha256_of(snapshot)
    writer = Writer(
        handle, size=PAPERS[snapshot["paper"]], about=_about(snapshot, digest)
    )
    flow = Flow(writer, _footing(snapshot, digest))
    sections = _sections()
    exceptions: list[str] = []
    decided = cover.draw(flow, snapshot)
    summary.draw(flow, snapshot, sections["summary"], decided=decided)
    number = str(snapshot["packet"]["number"])
    contents = Contents(flow, list(_entries(snapshot, sections)), box=number)
    for key, draw in _PLAIN.items():
        draw(flow, snapshot, sections[key])
    photographs.draw(
        flow,
        snapshot,
        sections["photographs"],
        pictures=pictures,
        exceptions=exceptions,
    )
    exceptions += missing_letters(writer.missing)
    record.draw(
        flow, snapshot, sections["record"], digest=digest, exceptions=exceptions
    )
    contents.number()
    pages = flow.finish()
    writer.save()
    return pages, tuple(exceptions)


def _about(snapshot: Snapshot, digest: str) -> About:
    job, packet = snapshot["job"], snapshot["packet"]
    title = _("%(contract)s, packet %(number)s, revision %(revision)s") % {
        "contract": job["contract"],
        **packet,
    }
    return About(
        title=title,
        author=snapshot["hands"][0]["firm"] if snapshot["hands"] else "",
        subject=job["name"],
        keywords=f"snapshot {digest}",
        language=snapshot["language"],
        made=datetime.fromisoformat(snapshot["cut"]["at"]["utc"]),
    )


def _footing(snapshot: Snapshot, digest: str) -> Footing:
    job, packet, cut = snapshot["job"], snapshot["packet"], snapshot["cut"]
    words = _(
        "%(contract)s, packet %(number)s, revision %(revision)s. Cut %(when)s %(zone)s"
    ) % {
        "contract": job["contract"],
        "number": packet["number"],
        "revision": packet["revision"],
        "when": when(cut["at"], "day"),
        "zone": job["zone"],
    }
    short = " ".join(digest[at : at + 4] for at in range(0, 16, 4))
    sections = snapshot["sections"]
    expected = 12 + len(sections["reports"]) * 1.6 + len(sections["photographs"]) / 4
    return Footing(
        words,
        _("snapshot %(hash)s") % {"hash": short},
        packet["state"] == "draft",
        len(str(int(expected))),
    )
