"""The sample packet, built once for the tests that only read it."""

from __future__ import annotations

from copy import deepcopy
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import pytest
from pypdf import PdfReader

from inspections.packet.build import BuiltPacket, build_pdf
from inspections.packet.pictures import folder
from inspections.packet.shape import Snapshot
from tests.packet.sample import sample_with_pictures


@dataclass(frozen=True)
class Drawn:
    """A packet with what it was drawn from."""

    snapshot: Snapshot
    pictures: Path
    path: Path
    built: BuiltPacket

    @cached_property
    def reader(self) -> PdfReader:
        return PdfReader(self.path)

    @cached_property
    def texts(self) -> list[str]:
        """The words of each page, spaces of every kind made one."""
        return [" ".join(page.extract_text().split()) for page in self.reader.pages]

    def short(self) -> Snapshot:
        """The snapshot with one report and no photographs: quicker to read back."""
        snapshot = deepcopy(self.snapshot)
        snapshot["sections"]["reports"] = snapshot["sections"]["reports"][:1]
        snapshot["sections"]["photographs"] = []
        snapshot["records"] = snapshot["records"][:3]
        return snapshot


@pytest.fixture(scope="session")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> Drawn:
    """The week of 10 August."""
    pictures = tmp_path_factory.mktemp("pictures")
    path = tmp_path_factory.mktemp("packet") / "packet.pdf"
    snapshot = sample_with_pictures(pictures)
    built = build_pdf(snapshot, pictures=folder(pictures), out=path)
    return Drawn(snapshot, pictures, path, built)


@pytest.fixture
def build(tmp_path: Path, drawn: Drawn):
    """Draw another snapshot with the same pictures and return its reader."""

    def _build(snapshot: Snapshot) -> Drawn:
        path = tmp_path / "other.pdf"
        built = build_pdf(snapshot, pictures=folder(drawn.pictures), out=path)
        return Drawn(snapshot, drawn.pictures, path, built)

    return _build
