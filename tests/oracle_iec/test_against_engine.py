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
from tests.oracle.quantities import milliamperes
from tests.oracle_iec.panels import EDITION
from tests.oracle_iec.panels import panels
from tests.oracle_iec.panels import random_panel
from tests.oracle_iec.survival import ABOVE_ALL
from tests.oracle_iec.survival import Verdict
from tests.oracle_iec.survival import verdict
from tests.oracle_iec.test_survival import Part
from tests.oracle_iec.test_survival import breaker
from tests.oracle_iec.test_survival import panel
from tests.oracle_iec.test_survival import secondary_breaker
from tests.oracle_iec.test_survival import transformer

THOROUGH = bool(os.environ.get("SCCR_THOROUGH"))
BLOCKS = 4
BLOCK = 25_000 if THOROUGH else 120
SHRINKING = 5_000 if THOROUGH else 60


def disagreements(document: dict[str, Any]) -> list[tuple[str, Any, Any]]:
    """What the engine and the oracle say differently: what, the engine's, the oracle's."""
    found, expected = sccr.rate(document), verdict(document)
    errors = {told(f.code, f.component) for f in found.findings if f.severity == "error"}
    values = {c.id: c.value for c in found.components if c.value is not None}
    pairs: list[tuple[str, Any, Any]] = [
        ("status", found.status, "withheld" if expected.current is None else "rated"),
        ("errors", errors, {told(*error) for error in expected.errors}),
        ("values", values, expected.values),
    ]
    stated = [supply for supply in document["supplies"] if "available_fault_current" in supply]
    limited = {name: None if current + 1 == ABOVE_ALL else current for name, current in expected.supplies.items()}
    if found.rating is not None:
        rated = found.rating
        pairs += [
            ("current", rated.current, expected.current),
            ("symbols", (rated.designation, rated.duration), (expected.designation, expected.duration)),
            ("peak", rated.peak, expected.peak),
            ("supplies", {s.id: s.rating and s.rating.current for s in found.supplies}, limited),
        ]
        enough = {s["id"]: milliamperes(s["available_fault_current"]) <= expected.supplies[s["id"]] for s in stated}
        pairs.append(("adequate", {c.supply: c.adequate for c in found.adequacy.supplies}, enough))
        pairs += limits_apart({limit.component for limit in found.limited_by}, expected)
    return [(name, ours, theirs) for name, ours, theirs in pairs if ours != theirs]


def told(code: str, component: str | None) -> tuple[str, str | None]:
    """An error with its component; of several supplementary protectors in line any may be named."""
    return (code, None if code == "supplementary-protector-as-branch" else component)


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


def test_the_same_on_corners_that_random_panels_seldom_reach() -> None:
    """A device across a transformer neither backs up nor protects, also where a short-time current is marked.

    An autotransformer of whatever size and impedance carries a current by its ratio: 5 kA × 230 / 400 = 2.875 kA.
    """
    voltage = {"voltage": "400 V"}
    named = {"line_side": {"device": "circuit_breaker", "parts": ["GB-1"]}}
    back_up = breaker("-Q2", "-T1", "10 kA", back_up_ratings=[{**voltage, "current": "30 kA", **named}])
    switch: Part = {"id": "-Q0", "kind": "disconnect_switch", "fed_from": "S1"}
    switch["short_time_ratings"] = [{"current": "50 kA", "duration": "1 s"}]
    bar: Part = {"id": "-W1", "kind": "bus_bar", "fed_from": "-T1"}
    bar["short_time_ratings"] = [{"current": "20 kA", "duration": "1 s"}]
    ratio = transformer("100 kVA", "400 V", "4 %")
    del ratio["transformer"]["impedance"]

    auto = transformer("10 kVA", "230 V", "4 %", isolated=False)
    corners = (
        ((ratio, back_up), 10_000_000),
        ((ratio, bar, breaker("-Q2", "-W1")), 10_000_000),
        ((auto, secondary_breaker("5 kA")), 2_875_000),
    )
    for behind, expected in corners:
        document = panel(switch, breaker(fed_from="-Q0"), *behind)
        whole = {"format": "panel/1", "panel": {"designation": "Grain"}, "edition": EDITION, **document}
        assert disagreements(whole) == []
        assert verdict(whole).current == expected


@pytest.mark.parametrize("block", range(2))
def test_the_same_on_panels_that_shrink(block: int) -> None:
    """Drawn by hypothesis, which finds the smallest panel of a difference."""

    @hypothesis.seed(block)
    @settings(max_examples=SHRINKING, deadline=None, suppress_health_check=list(HealthCheck), database=None)
    @given(panels())
    def agree(document: dict[str, Any]) -> None:
        assert disagreements(document) == []

    agree()
