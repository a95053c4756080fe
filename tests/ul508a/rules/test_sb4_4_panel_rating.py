"""SB4.4: the lowest between the loads and the supply, and all that ties for it (method, section 7)."""

from sccr import rate
from tests.drawing import behind_breaker
from tests.drawing import breaker
from tests.drawing import contactor
from tests.drawing import fuse
from tests.drawing import kiloamperes
from tests.drawing import limits
from tests.drawing import motor
from tests.drawing import panel
from tests.drawing import part
from tests.drawing import rated
from tests.drawing import withstands

TWO = [
    {"id": "MAIN", "voltage": "480Y/277 V", "system": "solidly_grounded_wye", "available_fault_current": "9 kA"},
    {"id": "LIGHT", "voltage": "240/120 V", "system": "single_phase_three_wire", "available_fault_current": "12 kA"},
]


def test_the_main_alone_never_suffices_but_caps_the_panel() -> None:
    assert (
        kiloamperes(panel(breaker("QA1", "S", "10 kA"), breaker("FC1", "QA1"), contactor("KM1", "FC1", "65 kA"))) == 10
    )


def test_a_series_of_ties_names_every_weakest_link() -> None:
    document = panel(
        breaker("FC1"),
        contactor("KM1", "FC1", "5 kA"),
        contactor("KM2", "KM1", "5 kA"),
        contactor("KM3", "KM2", "5.1 kA"),
    )

    assert limits(document) == ["KM1", "KM2"]


def test_each_supply_has_its_own_rating_and_the_headline_is_the_lowest() -> None:
    document = panel(
        breaker("QA1", "MAIN", "14 kA"), breaker("QA2", "LIGHT", "10 kA", "240/120 V", poles=2), supplies=TWO
    )
    rating = rated(document)

    assert {s.id: s.rating.text for s in rating.supplies} == {
        "MAIN": "14 kA rms symmetrical, 600 V maximum",
        "LIGHT": "10 kA rms symmetrical, 240/120 V maximum",
    }
    assert rating.rating.text == "10 kA rms symmetrical, 240/120 V maximum"
    assert [limit.component for limit in rating.limited_by] == ["QA2"]


def test_supplies_that_tie_are_both_named() -> None:
    document = panel(
        breaker("QA1", "MAIN", "10 kA"), breaker("QA2", "LIGHT", "10 kA", "240/120 V", poles=2), supplies=TWO
    )

    assert limits(document) == ["QA1", "QA2"]


def test_a_part_fed_from_two_supplies_counts_for_both() -> None:
    supplies = [{**TWO[0], "id": "A"}, {**TWO[0], "id": "B"}]
    document = panel(
        breaker("QA1", "A", "65 kA"),
        breaker("QA2", "B", "35 kA"),
        part("switch", "QB1", ["QA1", "QA2"], short_circuit_ratings=withstands("22 kA")),
        motor("MA1", "QB1"),
        supplies=supplies,
    )

    assert {s.id: s.rating.current for s in rate(document).supplies} == {"A": 22_000_000, "B": 22_000_000}


def test_a_transfer_switch_fed_straight_from_two_supplies() -> None:
    supplies = [{**TWO[0], "id": "A"}, {**TWO[0], "id": "B"}]
    switch = part("switch", "QB1", ["A", "B"], short_circuit_ratings=withstands("22 kA"))
    document = panel(switch, breaker("FC1", "QB1", "65 kA"), supplies=supplies)

    assert {s.id: s.rating.current for s in rate(document).supplies} == {"A": 22_000_000, "B": 22_000_000}


def test_the_staircase_is_re_rated_not_sorted() -> None:
    """Lifting the relay gives the contactor its credit: 10 kA goes to 100 kA, and 10 kA is no step of the staircase."""
    document = panel(
        fuse("FU1", "S", "J", "60 A"),
        fuse("FU2", "FU1", "CC", "15 A"),
        contactor("KM1", "FU2", "10 kA"),
        part("overload_relay", "FR1", "KM1"),
    )
    rating = rated(document)

    assert rating.rating.current == 5_000_000
    assert [step.rating.current for step in rating.next_limits] == [100_000_000, 200_000_000]
    assert [limit.component for limit in rating.next_limits[0].limited_by] == ["KM1"]


def test_a_rating_that_the_lifted_device_cut_may_be_the_best_of_a_part_then() -> None:
    """14 kA of the breaker cut the 65 kA of the tested combination below the 16 kA of the plain marking."""
    marked = [behind_breaker("65 kA", ["MB-30"], "200 A"), {"current": "16 kA", "voltage": "600 V"}]
    block = part("terminal_block", "X", "Q", short_circuit_ratings=marked)
    document = panel(breaker("Q", current="14 kA", part="MB-30", ampere_rating="20 A"), block, motor("M", "X"))

    assert kiloamperes(document) == 14
    assert [step.rating.current for step in rate(document).next_limits] == [65_000_000]


def test_a_rating_of_a_circuit_is_the_lower_of_device_and_parts() -> None:
    document = panel(breaker("FC1", "S", "14 kA"), contactor("KM1", "FC1", "65 kA"), breaker("FC2", "S", "30 kA"))
    circuits = {circuit.id: circuit.rating for circuit in rate(document).circuits}

    assert circuits == {"FC1": 14_000_000, "FC2": 30_000_000}
