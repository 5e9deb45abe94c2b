"""Nothing in the house reaches beyond this machine."""

from __future__ import annotations

import socket

import pytest

from tests.support.sockets import ClosedSocketError

# RFC 5737 sets 192.0.2.0/24 aside for documentation (from memory): nobody answers there.
_FAR = ("192.0.2.1", 80)


@pytest.mark.parametrize("call", ["connect", "connect_ex"])
@pytest.mark.parametrize("address", [_FAR, ("records.example", 443)])
def test_a_far_address_is_refused_before_anything_is_sent(call, address):
    with socket.socket() as sock, pytest.raises(ClosedSocketError, match="reach"):
        getattr(sock, call)(address)


def test_a_far_datagram_is_refused():
    with (
        socket.socket(type=socket.SOCK_DGRAM) as sock,
        pytest.raises(ClosedSocketError, match=r"192\.0\.2\.1"),
    ):
        sock.sendto(b"x", _FAR)


def test_this_machine_is_reached():
    with socket.create_server(("127.0.0.1", 0)) as server, socket.socket() as sock:
        sock.connect(server.getsockname())
        assert sock.getpeername() == server.getsockname()
