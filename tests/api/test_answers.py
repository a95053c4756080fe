"""Answers are written fast, with the bytes of the standard library; what that refuses is refused."""

import json
import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as some

from api.answers import written
from sccr import Catalogue
from sccr import rate

from .conftest import PANELS

#: Floats that both write without an exponent; beyond, the digits are the same and the exponent is written otherwise.
PLAIN = some.floats(1e-4, 1e15) | some.floats(-1e15, -1e-4) | some.just(0.0)
SCALARS = some.none() | some.booleans() | some.integers() | PLAIN | some.text()
VALUES = some.recursive(
    SCALARS,
    lambda inner: some.lists(inner, max_size=5) | some.dictionaries(some.text(), inner, max_size=5),
    max_leaves=30,
)


def by_the_standard_library(value: Any) -> bytes:
    text = json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"), sort_keys=True)
    return text.encode("utf-8", "backslashreplace")


@given(VALUES)
def test_the_bytes_are_those_of_the_standard_library(value: Any) -> None:
    assert written(value) == by_the_standard_library(value)


@given(some.floats(allow_nan=False, allow_infinity=False))
def test_every_number_comes_back_as_it_was(number: float) -> None:
    assert json.loads(written([number])) == [number]


@pytest.mark.parametrize("panel", PANELS, ids=lambda path: path.stem)
def test_of_the_demo_panels_too(catalogue: Catalogue, panel: Any) -> None:
    result = rate(panel.read_bytes(), catalogue).as_dict()
    assert written(result) == by_the_standard_library(result)


@given(VALUES, some.sampled_from([math.nan, -math.nan, math.inf, -math.inf]))
def test_a_number_that_is_not_finite_is_refused_wherever_it_stands(value: Any, number: float) -> None:
    for holds in (number, [value, number], {"a": value, "b": {"c": [1.5, number]}}, (number, value)):
        with pytest.raises(ValueError, match="not JSON compliant"):
            written(holds)


@pytest.mark.parametrize(
    "value", ["\ud800", {"\udfff": 1}, 2**70, -(2**64), {"a": [10**400]}, "\x00\x1f\x7f\x80\u2028"]
)
def test_what_the_fast_writer_cannot_write_is_written_by_the_other(value: Any) -> None:
    assert written(value) == by_the_standard_library(value)
