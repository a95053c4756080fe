"""Names, moments and canonical texts."""

from datetime import UTC
from datetime import datetime
from datetime import timedelta
from datetime import timezone
from typing import Any

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from api.store.canonical import canonical
from api.store.canonical import parsed
from api.store.identifiers import Identifiers
from api.store.times import stamp
from api.store.times import stamp_after

TEXTS = st.text(st.characters(exclude_categories=["Cs"]))
NUMBERS = st.integers(-(2**53) + 1, 2**53 - 1) | st.floats(allow_nan=False, allow_infinity=False)
VALUES = st.recursive(
    st.none() | st.booleans() | NUMBERS | TEXTS, lambda inner: st.lists(inner) | st.dictionaries(TEXTS, inner)
)
NOON = datetime(2026, 1, 31, 12, tzinfo=UTC)


@given(VALUES)
def test_the_canonical_text_is_that_of_the_standard_whichever_way_it_is_made(value: Any) -> None:
    text = canonical(value)
    assert text.encode() == rfc8785.dumps(value)
    assert canonical(parsed(text)) == text
    assert parsed(text) == value


@given(st.floats(1e-7, 1e22) | st.floats(-1e22, -1e-7))
def test_a_float_has_the_digits_of_ecmascript(value: float) -> None:
    assert canonical([value]).encode() == rfc8785.dumps([value])


@pytest.mark.parametrize("value", [float("nan"), float("inf"), 2**53, -(2**53), {1: 2}, {"a": object()}, "\ud800"])
def test_what_has_no_canonical_text_is_refused(value: Any) -> None:
    with pytest.raises((ValueError, TypeError)):
        canonical({"deep": [value]}).encode()


def test_names_sort_as_they_were_made_and_differ() -> None:
    identifiers = Identifiers()
    moments = [NOON, NOON, NOON + timedelta(seconds=1), NOON, NOON - timedelta(days=1), NOON + timedelta(seconds=2)]
    names = [identifiers.new(moment) for moment in moments for _ in range(200)]
    assert names == sorted(set(names))
    assert {len(name) for name in names} == {26}
    assert set("".join(names)) <= set("0123456789ABCDEFGHJKMNPQRSTVWXYZ")


def test_a_name_tells_its_millisecond_as_a_ulid_does() -> None:
    digits = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
    moment = datetime(2026, 1, 31, 12, 0, 0, 123_000, tzinfo=UTC)
    number = 0
    for digit in Identifiers().new(moment)[:10]:
        number = number * 32 + digits.index(digit)
    assert number == 1_769_860_800_123


def test_names_of_two_processes_do_not_meet() -> None:
    names = [Identifiers().new(NOON) for _ in range(1_000)]
    assert len(set(names)) == 1_000


def test_moments_are_written_in_utc_and_sort_as_text() -> None:
    east = datetime(2026, 1, 31, 14, tzinfo=timezone(timedelta(hours=2)))
    assert stamp(east) == stamp(NOON) == "2026-01-31T12:00:00.000000Z"
    assert stamp_after(NOON, -0.5) == "2026-01-31T11:59:59.500000Z"
    assert stamp_after(NOON, 1) > stamp(NOON) > stamp_after(NOON, -0.000001)
    with pytest.raises(ValueError, match="time zone"):
        stamp(datetime(2026, 1, 31))
