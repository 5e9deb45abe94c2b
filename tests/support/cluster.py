"""A throwaway PostgreSQL cluster: private folder, private socket, gone afterwards."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Sequence
from pathlib import Path

ADVICE = "apt-get install postgresql"
_PROGRAMS = ("initdb", "pg_ctl", "postgres")


class NoClusterError(Exception):
    """PostgreSQL cannot be started here; the message says what is missing."""


def programs() -> Path | None:
    """Return the folder of the server's programs, the newest version first."""
    versions = sorted(
        Path("/usr/lib/postgresql").glob("*/bin"),
        key=lambda folder: int(folder.parent.name.split(".")[0]),
        reverse=True,
    )
    on_path = [Path(folder) for folder in os.get_exec_path()]
    for folder in [*versions, *on_path]:
        if all((folder / name).is_file() for name in _PROGRAMS):
            return folder
    return None


class Cluster:
    """One server of its own, started by `start` and removed by `stop`."""

    def __init__(self) -> None:
        found = programs()
        if found is None:
            raise NoClusterError(f"no PostgreSQL server here: {ADVICE}")
        self._programs = found
        self._folder: Path | None = None
        # The server refuses to run as root, and Debian brings this user for it.
        self._user = "postgres" if os.geteuid() == 0 else None
        if self._user is not None:
            try:
                pwd.getpwnam(self._user)
            except KeyError:
                raise NoClusterError(
                    f"root, but no user postgres to run the server as: {ADVICE}"
                ) from None

    @property
    def url(self) -> str:
        """Where the server listens: a socket in its own folder, no network port."""
        user = self._user or pwd.getpwuid(os.geteuid()).pw_name
        return f"postgresql://{user}@/postgres?host={self._folder}"

    def start(self) -> None:
        """Make and start the server; nothing is left behind when that fails."""
        self._folder = Path(tempfile.mkdtemp(prefix="nozzlebook-pg-"))
        if self._user is not None:
            shutil.chown(self._folder, self._user)
        try:
            self._run(
                "initdb", "--pgdata", f"{self._folder}/data", "--auth=trust",
                "--encoding=UTF8", "--locale=C.UTF-8", "--no-sync",
                "--no-instructions",
            )  # fmt: skip
            options = (
                f"-c listen_addresses='' -c unix_socket_directories='{self._folder}'"
                " -c fsync=off -c synchronous_commit=off -c full_page_writes=off"
                " -c max_connections=100 -c timezone=UTC"
            )
            self._run(
                "pg_ctl", "start", "--wait", "--silent", "--pgdata",
                f"{self._folder}/data", "--log", f"{self._folder}/log",
                "--options", options,
            )  # fmt: skip
        except NoClusterError:
            self.stop()
            raise

    def stop(self) -> None:
        """Stop the server and remove every trace of it; twice does no harm."""
        if self._folder is None:
            return
        if (self._folder / "data" / "postmaster.pid").exists():
            self._run(
                "pg_ctl", "stop", "--mode=immediate", "--silent", "--wait",
                "--pgdata", f"{self._folder}/data",
            )  # fmt: skip
        shutil.rmtree(self._folder, ignore_errors=True)
        self._folder = None

    def _run(self, program: str, *arguments: str) -> None:
        command: Sequence[str] = (str(self._programs / program), *arguments)
        # Somebody's PGHOST or PGDATA must not reach this server.
        env = {k: v for k, v in os.environ.items() if not k.startswith("PG")}
        done = subprocess.run(
            command,
            user=self._user,
            group=self._user,
            extra_groups=[] if self._user else None,
            cwd=self._folder,
            env=env,
            stdin=subprocess.DEVNULL,
            # A file, not a pipe: the server inherits it and would hold a pipe open.
            stdout=subprocess.DEVNULL,
            stderr=(stderr := tempfile.TemporaryFile()),  # noqa: SIM115
            check=False,
        )
        with stderr:
            if done.returncode != 0:
                stderr.seek(0)
                said = stderr.read().decode(errors="replace").strip()
                raise NoClusterError(f"{program} failed: {said}")
