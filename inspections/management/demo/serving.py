"""Serve the demo on this machine, its clock running on from the as-of instant."""

from __future__ import annotations

import socket
from collections.abc import Callable
from datetime import datetime
from typing import Any

from django.core.management.base import CommandError
from gunicorn.app.base import BaseApplication

from project import clock

HOST = "127.0.0.1"


class DemoServer(BaseApplication):  # type: ignore[misc]
    """One process, a few threads: enough for a look round, and SQLite's one writer."""

    def __init__(self, *, port: int, ready: Callable[[], None]) -> None:
        self.port, self.ready = port, ready
        super().__init__()

    def load_config(self) -> None:
        settings = {
            "bind": f"{HOST}:{self.port}",
            "workers": 1,
            "threads": 4,
            "worker_class": "gthread",
            "preload_app": True,
            "loglevel": "warning",
            "control_socket_disable": True,
            # A calculation's table lies in its address; 4094 is room for half of one.
            "limit_request_line": 8190,
            "when_ready": lambda _server: self.ready(),
        }
        for name, value in settings.items():
            if name in self.cfg.settings:
                self.cfg.set(name, value)

    def load(self) -> Any:
        from project.wsgi import application

        return application


def check_port(port: int) -> None:
    """Refuse a port that something else listens on, before anything is built."""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((HOST, port))
        except OSError as error:
            raise CommandError(
                f"--port {port}: {error.strerror}; name a free one from 1024 to 65535"
            ) from error


def serve(*, as_of: datetime, port: int, ready: Callable[[], None]) -> None:
    """Serve until stopped. The clock is moved before the worker is forked."""
    clock.run_on_from(as_of)
    DemoServer(port=port, ready=ready).run()
