"""The same record gives the same file: in any process, at any time, on either engine.

The five packets of the demo job were issued while it was built. Here one is gathered
and drawn again by another process under another hash seed, with all on record that
came after it; and on PostgreSQL all five are held against those of a build on SQLite.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from hashlib import sha256
from pathlib import Path
from tempfile import TemporaryFile
from urllib.parse import quote

from django.conf import settings
from django.db import connection

from inspections.actions.packets import issued_file
from inspections.models import Packet
from tests.support.engine import run_folder
from tests.support.tools import need_program

ROOT = Path(__file__).parents[2]
WEEK = 2  # of 10 August: a refused operator, a missing panel, a sheet not reviewed


def _run(*arguments: str, **env: str) -> str:
    """Run a Python process in the project, with settings of its own.

    It speaks into files: a pipe would be held open by whatever it leaves behind.
    """
    with TemporaryFile("w+") as said, TemporaryFile("w+") as complained:
        done = subprocess.run(
            [sys.executable, *arguments],
            cwd=ROOT, env={**os.environ, **env}, check=False,
            stdout=said, stderr=complained,
        )  # fmt: skip
        for file in (said, complained):
            file.seek(0)
        assert done.returncode == 0, complained.read()
        return said.read()


def _as_another_process(folder: Path) -> dict[str, str]:
    """Return the settings by which another process reads this test's database."""
    (folder / "files").symlink_to(settings.MEDIA_ROOT)
    found = {"NOZZLEBOOK_DATA": str(folder)}
    given = connection.settings_dict
    if connection.vendor == "sqlite":
        shutil.copy(given["NAME"], folder / "nozzlebook.sqlite3")
        return found
    host = quote(str(given["HOST"]), safe="")
    url = f"postgresql://{given['USER']}@/{given['NAME']}?host={host}"
    return {**found, "DATABASE_URL": url}


def _issued() -> dict[str, list[str]]:
    """Return snapshot and file hash of each packet, as they were registered."""
    rows = Packet.objects.exclude(file_sha256="").order_by("number", "revision")
    return {row.code: [row.snapshot_sha256, row.file_sha256] for row in rows}


def test_another_process_draws_the_same_file_from_the_record(demo, tmp_path):
    again = _run(
        *("-m", "tests.packet.rebuild", demo.code, str(WEEK)),
        **_as_another_process(tmp_path),
        PYTHONHASHSEED="4711",
    )
    assert json.loads(again) == _issued()


def test_both_engines_issue_the_same_files(demo, request, tmp_path):
    """The run on SQLite leaves its hashes; the one on PostgreSQL compares them.

    On PostgreSQL alone, where nothing was left, the job is built on SQLite here.
    """
    run = run_folder(request.config)
    left = run / "packets-sqlite.json" if run else None
    found = _issued()
    assert list(found) == ["PK-01", "PK-02", "PK-03", "PK-04", "PK-05"]
    if connection.vendor == "sqlite":
        if left:
            left.write_text(json.dumps(found), encoding="utf-8")
        return
    if left is None or not left.exists():
        left = tmp_path / "packets-sqlite.json"
        left.write_text(_built_on_sqlite(tmp_path), encoding="utf-8")
    assert found == json.loads(left.read_text(encoding="utf-8"))


def _built_on_sqlite(folder: Path) -> str:
    at = {"NOZZLEBOOK_DATA": str(folder), "DATABASE_URL": ""}
    _run("manage.py", "demo", "--no-serve", "--as-of", "2026-09-14", **at)
    return _run("-m", "tests.packet.rebuild", "OV-2617", **at)


def test_each_file_lies_whole_under_its_registered_hash(demo):
    for packet in Packet.objects.exclude(file_sha256=""):
        data = issued_file(packet)
        assert sha256(data).hexdigest() == packet.file_sha256  # FIPS 180-4, by hashlib
        assert len(data) == packet.file_bytes


def test_qpdf_finds_nothing_to_complain_of(demo, tmp_path):
    path = tmp_path / "packet.pdf"
    path.write_bytes(issued_file(Packet.objects.get(number=WEEK, revision=0)))
    command = [need_program("qpdf"), "--check", path]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
