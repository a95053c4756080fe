"""The engine by IEC 61439-2 against the oracle: ratings, designations, values, limits and errors of random panels.

SCCR_THOROUGH=1 compares a hundred thousand seeded panels instead of some hundreds.
"""

import os
from typing import Any

import hypothesis
import pytest
from hypothesis import HealthCheck
from hypothesis import given
from hypothesis import settings

import sccr
from tests.oracle_iec.panels import panels
from tests.oracle_iec.panels import random_panel
from tests.oracle_iec.survival import Verdict
from tests.oracle_iec.survival import verdict

THOROUGH = bool(os.environ.get("SCCR_THOROUGH"))
BLOCKS = 4
BLOCK = 25_000 if THOROUGH else 120
SHRINKING = 5_000 if THOROUGH else 60


def disagreements(document: dict[str, Any]) -> list[tuple[str, Any, Any]]:
    """What the engine and the oracle say differently: what, the engine's, the oracle's."""
    found, expected = sccr.rate(document), verdict(document)
    errors = {(f.code, f.component) for f in found.findings if f.severity == "error"}
    values = {c.id: c.value for c in found.components if c.value is not None}
    pairs: list[tuple[str, Any, Any]] = [
        ("status", found.status, "withheld" if expected.current is None else "rated"),
        ("errors", errors, expected.errors),
        ("values", values, expected.values),
    ]
    if found.rating is not None:
        rated = found.rating
        pairs += [
            ("current", rated.current, expected.current),
            ("symbols", (rated.designation, rated.duration), (expected.designation, expected.duration)),
            ("peak", rated.peak, expected.peak),
            ("supplies", {s.id: s.rating and s.rating.current for s in found.supplies}, expected.supplies),
        ]
        pairs += limits_apart({limit.component for limit in found.limited_by}, expected)
    return [(name, ours, theirs) for name, ours, theirs in pairs if ours != theirs]


def limits_apart(named: set[str], expected: Verdict) -> list[tuple[str, Any, Any]]:
    """Whoever falls by himself must be named, and nobody who does not fall."""
    right = bool(named) and expected.limited_by <= named <= expected.may_limit
    return [] if right else [("limits", named, (expected.limited_by, expected.may_limit))]


@pytest.mark.parametrize("block", range(BLOCKS))
def test_the_engine_rates_what_the_panel_survives(block: int) -> None:
    rated = 0
    for seed in range(block * BLOCK, (block + 1) * BLOCK):
        document = random_panel(seed)
        assert disagreements(document) == [], f"random_panel({seed})"
        rated += sccr.rate(document).rating is not None

    assert rated > BLOCK * 0.4  # panels that are withheld compare little


@pytest.mark.parametrize("block", range(2))
def test_the_same_on_panels_that_shrink(block: int) -> None:
    """Drawn by hypothesis, which finds the smallest panel of a difference."""

    @hypothesis.seed(block)
    @settings(max_examples=SHRINKING, deadline=None, suppress_health_check=list(HealthCheck), database=None)
    @given(panels())
    def agree(document: dict[str, Any]) -> None:
        assert disagreements(document) == []

    agree()
