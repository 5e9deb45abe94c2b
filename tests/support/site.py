"""A real server on a port of this machine, for browsers."""

from __future__ import annotations

from collections.abc import Generator
from contextlib import contextmanager

from django.contrib.staticfiles.handlers import StaticFilesHandler
from django.test.testcases import LiveServerThread


@contextmanager
def served(host: str = "127.0.0.1") -> Generator[str]:
    """Serve the database in use; yields the address, such as http://127.0.0.1:43219."""
    thread = LiveServerThread(host, StaticFilesHandler)
    thread.daemon = True
    thread.start()
    thread.is_ready.wait()
    try:
        if thread.error:
            raise thread.error
        yield f"http://{host}:{thread.port}"
    finally:
        thread.terminate()
