"""How fast a packet is drawn, beside a byte copy of its photographs.

Run it by hand: `python -m tests.bench.packet`. Each build runs in a process of its own,
so that its peak memory is its own; times are the median of three. Wanted: 350 pages with
400 photographs in at most 1.5 s, at most 100 MB of memory and no more of it for more
photographs, 100 text pages in at most 0.25 s, and a file at most 1.02 times the
photographs plus 5 kB a page.
"""

from __future__ import annotations

import json
import os
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from hashlib import sha256
from pathlib import Path

from tests.packet.sample import photograph_bytes, sample

# name, daily reports of two pages each, photographs
SIZES = (("100 text pages", 45, 0), ("100 pages", 36, 100), ("350 pages", 118, 400))


def make_pictures(folder: Path, count: int) -> list[str]:
    """Keep distinct photographs of about 180 kB: a few pictures, each with a comment."""
    from project.actions.files import keep_bytes

    kinds = [photograph_bytes(n, size=(1280, 960), noise=True) for n in range(8)]
    digests = []
    for n in range(count):
        base = kinds[n % len(kinds)]
        comment = b"\xff\xfe\x00\x0a%08d" % n
        digests.append(keep_bytes(folder, base[:2] + comment + base[2:], suffix=".jpg"))
    return digests


def grown(reports: int, digests: list[str]) -> dict[str, object]:
    """Return the sample snapshot with so many reports and photographs."""
    snapshot = sample()
    sections = snapshot["sections"]
    models = sections["reports"]
    sections["reports"] = [
        {**models[n % len(models)], "number": f"DFR-{n + 1:03d}", "sheet": n + 1}
        for n in range(reports)
    ]
    first = sections["photographs"][0]
    sections["photographs"] = [
        {**first, "number": f"PH-{n + 1:03d}", "sha256": digest}
        for n, digest in enumerate(digests)
    ]
    return dict(snapshot)


def build_once(snapshot_path: str, pictures: str, out: str) -> None:
    """Build in this process and print what it cost as JSON."""
    import django

    django.setup()
    from inspections.packet.build import build_pdf
    from inspections.packet.pictures import folder

    snapshot = json.loads(Path(snapshot_path).read_text())
    began, busy = time.perf_counter(), time.process_time()
    built = build_pdf(snapshot, pictures=folder(Path(pictures)), out=Path(out))
    taken, busy = time.perf_counter() - began, time.process_time() - busy
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    said = {"seconds": taken, "busy": busy, "peak": peak, "pages": built.pages}
    print(json.dumps(said))


def copy_seconds(pictures: Path, work: Path) -> float:
    """Return how long a plain copy of the photographs takes: the floor."""
    began = time.perf_counter()
    with (work / "copy").open("wb") as out:
        for path in sorted(pictures.rglob("*.jpg")):
            with path.open("rb") as data:
                shutil.copyfileobj(data, out)
        out.flush()
        os.fsync(out.fileno())
    return time.perf_counter() - began


def measure(name: str, reports: int, photographs: int, work: Path) -> None:
    pictures = work / f"{photographs}"
    pictures.mkdir(exist_ok=True)
    digests = make_pictures(pictures, photographs)
    snapshot = work / f"{name}.json"
    snapshot.write_text(json.dumps(grown(reports, digests)))
    out = work / f"{name}.pdf"
    runs = []
    for _turn in range(3):
        command = [sys.executable, "-m", "tests.bench.packet"]
        said = subprocess.run(
            [*command, str(snapshot), str(pictures), str(out)],
            check=True,
            capture_output=True,
            text=True,
        )
        runs.append(json.loads(said.stdout))
    seconds = statistics.median(run["seconds"] for run in runs)
    busy = statistics.median(run["busy"] for run in runs)
    peak = max(run["peak"] for run in runs)
    pages = runs[0]["pages"]
    bytes_in = sum(path.stat().st_size for path in pictures.rglob("*.jpg"))
    size = out.stat().st_size
    copied = statistics.median(copy_seconds(pictures, work) for _turn in range(3))
    print(
        f"{name:15} {pages:4} pages {photographs:4} photographs"
        f" {seconds:6.2f} s, of it computing {busy:5.2f} s"
        f"  peak {peak:4.0f} MB  {size / 1e6:6.1f} MB"
        f"  over the photographs {(size - bytes_in) / pages / 1e3:4.1f} kB a page"
        f"  copy {copied:5.2f} s  {sha256(out.read_bytes()).hexdigest()[:12]}"
    )


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "project.settings")
    if len(sys.argv) == 4:
        build_once(*sys.argv[1:])
        return
    with tempfile.TemporaryDirectory() as name:
        for size in SIZES:
            measure(*size, Path(name))


if __name__ == "__main__":
    main()
