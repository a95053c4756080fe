"""The available current by IEC 60909-0, held against the rating (method P4)."""

from typing import Any

from tests.iec61439.drawing import Document
from tests.iec61439.drawing import breaker
from tests.iec61439.drawing import codes
from tests.iec61439.drawing import panel
from tests.iec61439.drawing import rated

#: A 630 kVA transformer of 4 % on a stiff utility: c = 1.1 (IEC 60909-0, Table 1; from memory).
SOURCE: dict[str, Any] = {
    "utility": {"available": "500 MVA", "voltage": "20 kV", "x_over_r": 10},
    "elements": [
        {
            "transformer": {
                "kva": "630 kVA",
                "primary": "20 kV",
                "secondary": "400Y/230 V",
                "impedance": "4 %",
                "x_over_r": 3,
            }
        }
    ],
}


def fed(current: str = "50 kA", **supply: object) -> Document:
    return panel(breaker("Q1", current=current), supply=supply)


def test_a_stated_current_is_covered_by_equality() -> None:
    assert rated(fed("20 kA", available_fault_current="20 kA")).adequacy.supplies[0].adequate
    short = fed("20 kA", available_fault_current="20.001 kA")
    assert not rated(short).adequacy.supplies[0].adequate
    assert "rating-below-available" in codes(short, "warning")


def test_a_source_is_calculated_by_iec_60909_whatever_it_names() -> None:
    ohmic, iec = fed(source=SOURCE), fed(source={**SOURCE, "method": "iec_60909", "voltage_tolerance": "10 %"})
    found, same = rated(ohmic), rated(iec)

    assert found.supplies[0].available is not None
    assert found.supplies[0].available.method == "iec_60909"
    assert found.adequacy.supplies[0].current == same.adequacy.supplies[0].current
    assert "fault-current-method" in codes(ohmic, "note")
    assert "fault-current-method" not in codes(iec)
    # 22.7 kA by the transformer alone; c 1.1 raises, the utility and K_T of IEC 60909-0 lower it
    assert 21_000_000 < found.adequacy.supplies[0].current < 25_100_000


def test_the_higher_of_stated_and_computed_counts() -> None:
    document = fed(source=SOURCE, available_fault_current="40 kA")

    assert rated(document).adequacy.supplies[0].current == 40_000_000
    assert "fault-currents-differ" in codes(document, "warning")


def test_a_peak_above_that_of_table_7_is_warned_of() -> None:
    """At X/R 15 the peak is 1.02 + 0.98 e^(-3/15) = 1.82 times √2: 2.58 times the rms current, where n is 2.1."""
    (transformer,) = SOURCE["elements"]
    stiff = {**SOURCE, "elements": [{"transformer": {**transformer["transformer"], "x_over_r": 15}}]}
    current = rated(fed(source=stiff)).adequacy.supplies[0].current / 1000
    just = codes(fed(f"{current:.3f} A", source=stiff), "warning")

    assert "rating-below-available" not in just
    assert "peak-above-rating" in just
    assert "peak-above-rating" not in codes(fed("50 kA", source=stiff))


def test_the_target_of_the_order_is_compared() -> None:
    assert "rating-below-target" in codes(panel(breaker("Q1"), target="65 kA"), "warning")
    assert "rating-below-target" not in codes(panel(breaker("Q1"), target="50 kA"))
