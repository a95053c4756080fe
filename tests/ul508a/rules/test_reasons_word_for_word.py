"""Reasons in the derivation and conditions, whole, as an inspector reads them; and places where nothing is fed."""

from typing import Any

import pytest

from sccr import rate
from sccr.engine import load_panel
from sccr.ul508a.assessment import assess
from sccr.ul508a.rules.sb5_conditions import upstream_text
from sccr.ul508a.subject import subject
from tests.drawing import DIRECT
from tests.drawing import WYE
from tests.drawing import Document
from tests.drawing import breaker
from tests.drawing import contactor
from tests.drawing import errors
from tests.drawing import fuse
from tests.drawing import interrupts
from tests.drawing import kiloamperes
from tests.drawing import panel
from tests.drawing import part
from tests.drawing import transformer
from tests.drawing import withstands

SERIES = {
    "line_side": {"device": "fuse", "fuse_classes": ["J"], "max_ampere_rating": "100 A"},
    "voltage": "480 V",
    "current": "65 kA",
    "reference": "listed table 4",
}
NOT_ON_EVERY_PATH = (
    "marked 14 kA at 600 V; not claimed: series rating 65 kA: no device stands ahead of it at its voltage on every path"
)


def lower(fed_from: str = "S", **more: Any) -> Document:
    return breaker("FC1", fed_from, "14 kA", series_ratings=[SERIES], **more)


def main(name: str = "FU1") -> Document:
    return fuse(name, "S", "J", "100 A")


def statements(document: Document, component: str) -> list[str]:
    return [step.statement for step in rate(document).derivation if step.component == component]


def test_a_series_rating_names_the_device_on_each_path() -> None:
    switch = part("switch", "QS1", ["FU1", "FU2"], short_circuit_ratings=withstands("200 kA"))

    assert statements(panel(main(), main("FU2"), switch, lower("QS1")), "FC1")[0] == (
        "series rating 65 kA at 480 V behind FU1 (fuse, class J, 100 A) and FU2 (fuse, class J, 100 A), "
        "reference listed table 4"
    )


def test_a_series_rating_with_nothing_ahead_or_a_transformer_between() -> None:
    behind = panel(main(), transformer("TA1", "FU1", "50 kVA", "480 V", phases=3), lower("TA1"))

    assert statements(panel(lower()), "FC1")[0] == NOT_ON_EVERY_PATH
    assert statements(behind, "FC1")[0] == NOT_ON_EVERY_PATH


def test_a_transformer_without_its_size() -> None:
    document = panel(breaker("FC1"), transformer("TA1", "FC1", None, "120 V", phases=1), breaker("FC2", "TA1", "5 kA"))

    assert statements(document, "TA1")[1] == (
        "T4: size not stated to 120 V; no kVA or no %Z is marked: the lowest secondary value carries to the line side"
    )


def test_a_winding_that_feeds_nothing_changes_nothing() -> None:
    def with_windings(*secondary: str) -> Document:
        nameplate = transformer("TA1", "FC1", "50 kVA", list(secondary), phases=1, impedance="3 %", isolated=True)
        return panel(breaker("FC1"), nameplate, breaker("FC2", "TA1/1", "65 kA"))

    assert kiloamperes(with_windings("120 V", "24 V")) == kiloamperes(with_windings("120 V")) == 65


def test_single_poles_of_supplementary_protectors_joined_line_to_line() -> None:
    def pole(name: str) -> Document:
        return part("supplementary_protector", name, "FC1", poles=1, interrupting_ratings=interrupts("5 kA"))

    document = panel(breaker("FC1"), pole("FA1"), pole("FA2"), contactor("KM1", ["FA1", "FA2"], "5 kA"))

    assert errors(document) == {"single-pole-line-to-line"}
    assert [finding.component for finding in rate(document).findings if finding.severity == "error"] == ["FA1", "FA2"]


def test_a_supply_that_feeds_nothing_has_its_current_computed_all_the_same() -> None:
    source = {"utility": {"available": "20 kA", "voltage": "480Y/277 V", "x_over_r": 10}}
    idle = {"id": "T", **WYE, "source": source}
    document = panel(breaker("FC1"), supplies=[{"id": "S", **WYE}, idle])

    assert rate(document).supplies[1].available is not None
    assert kiloamperes(document) == 65


def test_field_protection_as_the_nameplate_names_it() -> None:
    def text(**device: Any) -> str:
        [supply] = load_panel(panel(lower(), supply={**WYE, "upstream_protection": device})).supplies
        assert supply.upstream_protection is not None
        return upstream_text(supply.upstream_protection)

    assert text(device="fuse", fuse_class="J") == "class J fuse"
    assert text(device="fuse", fuse_class="J", ampere_rating="100 A") == "class J fuse, 100 A maximum"
    assert text(device="circuit_breaker", part="B-1") == "circuit breaker B-1"


def test_an_upstream_fuse_that_interrupts_just_the_series_rating_does_not_cut_it() -> None:
    device = {"device": "fuse", "fuse_class": "J", "ampere_rating": "100 A"}

    def drawn(interrupting: str) -> Document:
        upstream = {**device, "interrupting_ratings": interrupts(interrupting)}
        return panel(lower(), contactor("KM1", "FC1", "200 kA"), supply={**WYE, "upstream_protection": upstream})

    def found(interrupting: str) -> tuple[str | None, float]:
        document = drawn(interrupting)
        return assess(subject(load_panel(document))).values["FC1"].capped_by, kiloamperes(document)

    assert found("65 kA") == (None, 65)
    assert found("64 kA") == ("S:upstream", 64)
    assert found("14.001 kA") == ("S:upstream", 14.001)
    assert found("14 kA") == found("13 kA") == (None, 14)  # its own 14 kA rest on nothing
    [refused] = [f.message for f in rate(drawn("13 kA")).findings if f.code == "rating-not-claimed"]
    assert refused.startswith("not claimed: series rating 65 kA at ")
    assert refused.endswith(": S:upstream interrupts no more than 13 kA")


def test_of_two_points_at_the_same_current_the_higher_peak_counts() -> None:
    def behind(*peaks: str) -> float:
        points = [{"available": "50 kA", "peak": peak, "voltage": "480Y/277 V"} for peak in peaks]
        main = breaker("FC0", current_limiting=True, let_through=points)
        return kiloamperes(panel(main, breaker("FC1", "FC0"), contactor("KM1", "FC1", "5 kA")))

    assert behind("4 kA") == 50
    assert behind("4 kA", "6 kA") == behind("6 kA", "4 kA") == 5


def test_an_unmarked_breaker_in_dc() -> None:
    told = "no interrupting rating marked for DC, and none is assumed"
    document = panel(part("circuit_breaker", "FC1"), supply=DIRECT)

    assert [tuple(each) for each in rate(document).findings] == [("error", "no-dc-rating", "FC1", "SB4.2", told)]


def test_what_a_transformer_carries_to_the_line_side_is_told_by_its_clause() -> None:
    big = transformer("TA1", "FC1", "50 kVA", "120 V", phases=1, isolated=True, impedance="2 %")
    [limit] = rate(panel(breaker("FC1"), big, breaker("FC2", "TA1", "5 kA", poles=1))).limited_by

    assert (limit.component, limit.clause) == ("FC2", "SB4.3.1")
    assert "50 kVA to 120 V, 2 %Z delivers up to 23.148149 kA, above its weakest secondary part" in limit.reason


def test_a_transformer_whose_primary_device_stands_in_the_field_rests_on_it() -> None:
    device = {"device": "fuse", "fuse_class": "J", "ampere_rating": "100 A"}
    small = transformer("TA1", "S", "5 kVA", "120 V", phases=1, isolated=True)
    document = panel(small, breaker("FC2", "TA1", "5 kA", poles=1), supply={**WYE, "upstream_protection": device})

    rating = rate(document)

    assert [each.text for each in rating.conditions] == ["supply S to be protected by class J fuse, 100 A maximum"]
    assert [(limit.component, limit.clause) for limit in rating.limited_by] == [("S:upstream", "SB4.3.1")]


def test_too_few_poles_are_told_of_the_path_that_lacks_them() -> None:
    document = panel(breaker("FC1"), breaker("FC2", "FC1", poles=1), part("motor", "MA1", ["FC1", "FC2"], phases=3))

    [told] = [finding.message for finding in rate(document).findings if finding.severity == "error"]

    assert told.startswith("three-phase, but fed with 1 ungrounded conductor(s) of 277 V line-to-neutral")


DC_BREAKER = breaker("FC1", interrupting_ratings=interrupts("5 kA", "250 V", supply="dc"))


@pytest.mark.parametrize(
    ("document", "told"),
    [
        (
            panel(part("fuse", "FU1")),
            "neither a class nor an interrupting rating is stated: state fuse_class or interrupting_ratings",
        ),
        (panel(fuse("FU1"), supply=DIRECT), "no interrupting rating marked for DC, and none is assumed"),
        (
            panel(DC_BREAKER, contactor("KM1", "FC1"), supply=DIRECT),
            "unmarked contactor in a DC circuit: only a rating marked for DC serves",
        ),
        (
            panel(breaker("FC1"), part("disconnect_switch", "QS1", "FC1")),
            "unmarked disconnect switch: Table SB4.1 assumes nothing for it; state short_circuit_ratings",
        ),
        (
            panel(breaker("FC1"), contactor("KM1", "FC1", horsepower="2000 hp")),
            "unmarked contactor beyond the last row of Table SB4.1: state short_circuit_ratings",
        ),
    ],
)
def test_why_nothing_is_assumed(document: Document, told: str) -> None:
    assert [finding.message for finding in rate(document).findings if finding.severity == "error"] == [told]


def test_a_supplementary_protector_marked_for_dc_serves_there() -> None:
    marked = interrupts("3 kA", "250 V", supply="dc")
    document = panel(
        DC_BREAKER, part("supplementary_protector", "FA1", "FC1", interrupting_ratings=marked), supply=DIRECT
    )

    assert kiloamperes(document) == 3


@pytest.mark.parametrize("device", [fuse("FU1"), part("circuit_breaker", "FC1")])
@pytest.mark.parametrize("voltage", ["480 V", "600 V"])
def test_an_unmarked_device_is_worth_its_value_up_to_its_own_voltage(device: Document, voltage: str) -> None:
    rating = rate(panel({**device, "voltage_rating": voltage})).rating

    assert rating is not None and rating.voltage == voltage


@pytest.mark.parametrize(
    ("field", "edge", "above"), [("ampere_rating", "60 A", "60.01 A"), ("voltage_rating", "250 V", "250.01 V")]
)
def test_mercury_switches_on_the_edge_of_a_row(field: str, edge: str, above: str) -> None:
    """UL 508A Table SB4.1: 3.5 kA up to 60 A and 250 V, 5 kA above either."""
    supply = {"voltage": "208 V", "system": "ungrounded_delta"}

    def found(value: str) -> float:
        fields = {"ampere_rating": "60 A", "voltage_rating": "250 V", field: value}
        return kiloamperes(panel(breaker("FC1"), part("mercury_switch", "SF1", "FC1", **fields), supply=supply))

    assert (found(edge), found(above)) == (3.5, 5)
