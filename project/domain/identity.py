"""Identities: made where a row is first written, or derived from another.

Source: RFC 9562 (2024), sections 5.5 and 5.7 (from memory).
"""

from __future__ import annotations

from uuid import UUID, uuid5


def uuid7(now_ms: int, random_bytes: bytes) -> UUID:
    """Return a time-ordered identity.

    Parameters
    ----------
    now_ms
        Unix time [ms], 0 to 2**48 - 1.
    random_bytes
        10 bytes of randomness; the lowest 74 bits are used.

    Raises ValueError for a time or a length outside these. Source: RFC 9562, 5.7.

    >>> uuid7(0x017F22E279B0, bytes.fromhex("0cc318c4dc0c0c07398f"))
    UUID('017f22e2-79b0-7cc3-98c4-dc0c0c07398f')
    """
    if not 0 <= now_ms < 1 << 48:
        raise ValueError(f"now_ms {now_ms}: 0 to {(1 << 48) - 1} is allowed")
    if len(random_bytes) != 10:
        raise ValueError(f"random_bytes: {len(random_bytes)} given, 10 are needed")
    chance = int.from_bytes(random_bytes, "big")
    high = now_ms << 16 | 0x7000 | (chance >> 64) & 0x0FFF
    low = 1 << 63 | chance & (1 << 62) - 1
    return UUID(int=high << 64 | low)


def derived(parent: UUID, name: str) -> UUID:
    """Return the identity that a name has under a parent: the same on every machine.

    Source: RFC 9562, 5.5 (version 5, SHA-1 of the parent and the name).

    >>> derived(UUID("6ba7b810-9dad-11d1-80b4-00c04fd430c8"), "www.example.com")
    UUID('2ed6657d-e927-568b-95e1-2665a8aea6a2')
    """
    return uuid5(parent, name)
