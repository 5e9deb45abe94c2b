"""Identities against the vectors of RFC 9562."""

import uuid

import pytest
from hypothesis import given
from hypothesis import strategies as st

from project.domain.identity import derived, uuid7


def test_the_vector_of_the_standard():
    """Source: RFC 9562, appendix A.6 (from memory)."""
    made = uuid7(0x017F22E279B0, bytes.fromhex("0cc318c4dc0c0c07398f"))
    assert str(made) == "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"


@given(st.integers(0, 2**48 - 1), st.binary(min_size=10, max_size=10))
def test_every_identity_says_its_version_variant_and_time(now_ms, chance):
    made = uuid7(now_ms, chance)
    assert made.version == 7
    assert made.variant == uuid.RFC_4122
    assert made.int >> 80 == now_ms


def test_all_74_bits_of_chance_are_used_and_no_more():
    made = {uuid7(0, (1 << bit).to_bytes(10, "big")) for bit in range(80)}
    # 62 low bits, 12 high ones, and one identity for the six that have no place.
    assert len(made) == 75


@given(
    st.integers(0, 2**48 - 2),
    st.binary(min_size=10, max_size=10),
    st.binary(min_size=10, max_size=10),
)
def test_a_later_millisecond_sorts_later(now_ms, first, second):
    assert uuid7(now_ms, first) < uuid7(now_ms + 1, second)


@pytest.mark.parametrize("now_ms", [-1, 2**48])
def test_a_time_that_does_not_fit_is_refused(now_ms):
    with pytest.raises(ValueError, match=f"now_ms {now_ms}: 0 to 281474976710655"):
        uuid7(now_ms, bytes(10))


@pytest.mark.parametrize("length", [0, 9, 11])
def test_too_little_or_too_much_chance_is_refused(length):
    with pytest.raises(ValueError, match=f"{length} given, 10 are needed"):
        uuid7(0, bytes(length))


def test_a_derived_identity_is_the_same_everywhere():
    """Source: RFC 9562, appendix A.4 (from memory)."""
    made = derived(uuid.NAMESPACE_DNS, "www.example.com")
    assert str(made) == "2ed6657d-e927-568b-95e1-2665a8aea6a2"
