"""No test reaches beyond this machine."""

from __future__ import annotations

import ipaddress
import socket
from typing import Any

import pytest


class ClosedSocketError(Exception):
    """Something tried to leave this machine. Not an OSError: nobody may swallow it."""


def is_near(family: int, address: Any) -> bool:
    """Whether an address lies on this machine; a name counts only if it is localhost."""
    if family == socket.AF_UNIX:
        return True
    host = address[0] if isinstance(address, tuple) else address
    if host in ("localhost", ""):
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def close_sockets(patch: pytest.MonkeyPatch) -> None:
    """Let `connect`, `connect_ex` and `sendto` reach loopback addresses only."""
    for name in ("connect", "connect_ex", "sendto"):
        real = getattr(socket.socket, name)

        def guarded(self: socket.socket, *args: Any, _real: Any = real) -> Any:
            if not is_near(self.family, args[-1]):
                raise ClosedSocketError(f"a test tried to reach {args[-1]!r}")
            return _real(self, *args)

        patch.setattr(socket.socket, name, guarded)
