"""SB4.2: what a component is worth: marked, tested combination, assumed (method R1 to R3)."""

import pytest

from sccr import load_panel
from sccr import rate
from sccr.ul508a.rules.sb4_2_component_values import component_value
from sccr.ul508a.subject import subject
from tests.drawing import DIRECT
from tests.drawing import behind_fuse
from tests.drawing import breaker
from tests.drawing import codes
from tests.drawing import contactor
from tests.drawing import errors
from tests.drawing import fuse
from tests.drawing import interrupts
from tests.drawing import kiloamperes
from tests.drawing import limits
from tests.drawing import motor
from tests.drawing import panel
from tests.drawing import part
from tests.drawing import rated
from tests.drawing import transformer
from tests.drawing import withstands


def with_part(component: dict, device: dict | None = None, **more: object) -> dict:
    return panel(device or breaker("FC1"), component, motor("MA1", component["id"]), **more)


def test_r1_the_highest_marking_at_the_circuits_voltage_is_taken() -> None:
    ratings = [*withstands("100 kA", "240 V"), *withstands("30 kA", "480 V"), *withstands("18 kA", "600 V")]

    assert kiloamperes(with_part(part("contactor", "KM1", "FC1", short_circuit_ratings=ratings))) == 30


@pytest.mark.parametrize(
    ("kind", "fields", "expected"),
    [
        ("bus_bar", {}, 10),
        ("current_shunt", {}, 10),
        ("fuseholder", {}, 10),
        ("overload_relay", {}, 5),
        ("switch", {}, 5),
        ("switch_unit", {}, 5),
        ("meter_socket", {}, 10),
        ("receptacle", {}, 10),
        ("gfci_receptacle", {}, 2),
        ("terminal_block", {}, 10),
        ("power_distribution_block", {}, 10),
        ("supplementary_protector", {}, 0.2),
        ("contactor", {}, 5),
        ("soft_starter", {"horsepower": "75 hp"}, 10),
        ("drive", {"horsepower": "250 hp"}, 18),
        ("manual_motor_controller", {"horsepower": "500 hp"}, 30),
        ("motor_starter", {"horsepower": "900 hp"}, 42),
        ("combination_motor_controller", {"horsepower": "1600 hp"}, 85),
        ("mercury_switch", {"voltage_rating": "600 V", "ampere_rating": "30 A"}, 5),
        ("mercury_switch", {"voltage_rating": "480 V", "ampere_rating": "61 A"}, 5),
        ("mercury_switch", {}, 1),
    ],
)
def test_r2_unmarked_parts_take_their_row(kind: str, fields: dict, expected: float) -> None:
    """UL 508A Supplement SB, Table SB4.1, row by row."""
    assert kiloamperes(with_part(part(kind, "X1", "FC1", **fields), breaker("FC1", "S", "100 kA"))) == expected


@pytest.mark.parametrize(("amperes", "expected"), [("5 A", 1), ("8.4 A", 3.5), ("60 A", 3.5), ("61 A", 5)])
def test_r2_mercury_switches_by_their_size(amperes: str, expected: float) -> None:
    """Table SB4.1: 2 kVA or less, 60 A or less, above; at 240 V, so 8.4 A is just above 2 kVA."""
    supply = {"voltage": "240 V", "system": "ungrounded_delta"}
    switch = part("mercury_switch", "SF1", "FC1", voltage_rating="240 V", ampere_rating=amperes)

    assert kiloamperes(with_part(switch, supply=supply)) == expected


@pytest.mark.parametrize(
    ("power", "expected"),
    [
        ("50 hp", 5),
        ("50.5 hp", 10),
        ("37.3 kW", 5),
        ("37.9 kW", 5),
        ("38 kW", 10),
        ("149.5 kW", 10),
        ("150 kW", 18),
        ("299 kW", 30),
        ("448 kW", 42),
        ("672 kW", 85),
        ("200.5 hp", 18),
        ("401 hp", 30),
        ("601 hp", 42),
        ("901 hp", 85),
    ],
)
def test_r2_bands_rise_only_at_their_bounds(power: str, expected: int) -> None:
    assert (
        kiloamperes(with_part(part("motor_starter", "KM1", "FC1", horsepower=power), breaker("FC1", "S", "100 kA")))
        == expected
    )


@pytest.mark.parametrize("power", ["1601 hp", "1194 kW"])
def test_r2_nothing_is_assumed_beyond_the_last_band(power: str) -> None:
    assert errors(with_part(part("motor_starter", "KM1", "FC1", horsepower=power))) == {"no-rating"}


def test_r2_a_marked_lower_value_wins_over_the_table() -> None:
    assert kiloamperes(with_part(contactor("KM1", "FC1", "1 kA"))) == 1


def test_r3_a_tested_combination_holds_with_its_device_and_not_without() -> None:
    tested = [behind_fuse("100 kA", ["J", "CC"], "30 A")]
    for device, expected in [
        (fuse("FC1", "S", "J", "30 A"), 100),
        (fuse("FC1", "S", "CC", "20 A"), 100),
        (fuse("FC1", "S", "J", "35 A"), 5),
        (breaker("FC1", "S", "100 kA", ampere_rating="30 A"), 5),
    ]:
        assert kiloamperes(with_part(contactor("KM1", "FC1", short_circuit_ratings=tested), device)) == expected


def test_r3_the_protecting_device_is_the_nearest_ahead() -> None:
    """A J fuse further up does not make up for the breaker that protects the part (settled 9)."""
    tested = [behind_fuse("100 kA", ["J"], "60 A")]
    document = panel(
        fuse("FU1", "S", "J", "60 A"),
        breaker("FC1", "FU1", "100 kA"),
        contactor("KM1", "FC1", short_circuit_ratings=tested),
        motor("MA1", "KM1"),
    )

    assert kiloamperes(document) == 5


def test_r3_a_combination_that_fails_falls_back_to_the_unconditional_marking() -> None:
    ratings = [*withstands("10 kA"), behind_fuse("100 kA", ["J"], "30 A")]
    document = with_part(contactor("KM1", "FC1", short_circuit_ratings=ratings))

    assert kiloamperes(document) == 10
    assert "rating-not-claimed" in codes(document)


def test_r3_the_fallback_is_never_above_the_marked_combination() -> None:
    """A part marked 2 kA even behind its fuse is not worth the 5 kA of Table SB4.1 without it."""
    document = with_part(contactor("KM1", "FC1", short_circuit_ratings=[behind_fuse("2 kA", ["J"], "30 A")]))

    assert kiloamperes(document) == 2


def test_r3_several_paths_must_all_hold_the_device() -> None:
    tested = [behind_fuse("100 kA", ["J"], "30 A")]
    devices = [fuse("FU1", "S", "J", "30 A"), fuse("FU2", "S", "RK5", "30 A")]
    document = panel(*devices, contactor("KM1", ["FU1", "FU2"], short_circuit_ratings=tested), motor("MA1", "KM1"))

    assert kiloamperes(document) == 5


def test_r3_a_holder_rests_on_the_fuse_that_it_carries() -> None:
    holder = part(
        "fuseholder", "XF1", "S", fuse_class="J", short_circuit_ratings=[behind_fuse("200 kA", ["J"], "30 A")]
    )
    document = panel(holder, fuse("FU1", "XF1", "J", "30 A"), contactor("KM1", "FU1", "200 kA"), motor("MA1", "KM1"))

    assert kiloamperes(document) == 200


def test_a_device_on_the_other_side_of_a_transformer_fulfils_no_combination() -> None:
    document = panel(
        fuse("FU1", "S", "J", "30 A"),
        transformer("TA1", "FU1", "45 kVA", "240 V", phases=1),
        contactor("KM1", "TA1", short_circuit_ratings=[behind_fuse("100 kA", ["J"], "30 A")]),
        motor("MA1", "KM1"),
    )

    assert kiloamperes(document) == 5


def test_a_combination_is_worth_no_more_than_its_device_interrupts() -> None:
    tested = [behind_fuse("200 kA", ["J"], "30 A")]
    device = fuse("FC1", "S", "J", "30 A", interrupting_ratings=interrupts("100 kA"))
    document = with_part(contactor("KM1", "FC1", short_circuit_ratings=tested), device)

    assert kiloamperes(document) == 100
    assert limits(document) == ["FC1"]


def test_settled_1_all_markings_below_the_voltage_withhold_and_the_table_is_no_way_out() -> None:
    document = with_part(contactor("KM1", "FC1", short_circuit_ratings=withstands("65 kA", "240 V")))

    assert errors(document) == {"voltage-above-rating"}


def test_an_unconditional_marking_below_the_voltage_is_no_way_out_for_a_failed_combination() -> None:
    ratings = [*withstands("5 kA", "240 V"), behind_fuse("65 kA", ["J"], "30 A")]

    assert errors(with_part(contactor("KM1", "FC1", short_circuit_ratings=ratings))) == {"voltage-above-rating"}


def test_dc_circuits_take_only_ratings_marked_for_dc() -> None:
    device = breaker("FC1", "S", "10 kA", "125 V", interrupting_ratings=interrupts("10 kA", "125 V", supply="dc"))
    marked = contactor("KM1", "FC1", short_circuit_ratings=withstands("5 kA", "125 V", supply="dc"))
    alternating = contactor("KM1", "FC1", short_circuit_ratings=withstands("5 kA", "600 V"))

    document = with_part(marked, device, supply=DIRECT)
    assert kiloamperes(document) == 5
    assert rated(document).rating.voltage == "125 V DC"
    assert errors(with_part(alternating, device, supply=DIRECT)) == {"voltage-above-rating"}
    assert errors(with_part(contactor("KM1", "FC1"), device, supply=DIRECT)) == {"no-dc-rating"}


def test_the_reason_says_what_the_value_was_taken_from() -> None:
    reasons = {c.id: c.basis for c in rate(with_part(contactor("KM1", "FC1"))).components}

    assert reasons == {"FC1": "marked", "KM1": "table", "MA1": "exempt"}


@pytest.mark.parametrize(
    ("voltage", "amperes", "expected"),
    [
        ("200 V", "10 A", 1),
        ("200 V", "10.005 A", 3.5),
        ("250 V", "8 A", 1),
        ("250.1 V", "1 A", 5),
        ("24 V", "83 A", 1),
        ("24 V", "84 A", 5),
    ],
)
def test_r2_the_kva_of_a_mercury_switch_is_its_volts_times_its_amperes(
    voltage: str, amperes: str, expected: float
) -> None:
    """Up to 2 kVA 1 kA is assumed (Table SB4.1), over 60 A as well: 200 V and 10.005 A are 2.001 kVA."""
    switch = part("mercury_switch", "SB1", "FC1", voltage_rating=voltage, ampere_rating=amperes)
    supply = {"voltage": "24 V", "system": "single_phase_two_wire"}

    assert kiloamperes(panel(breaker("FC1"), switch, supply=supply)) == expected


@pytest.mark.parametrize(
    ("kind", "because"),
    [
        ("overload_relay", "unmarked overload relay, auxiliary device of industrial control equipment: 5 kA"),
        ("switch", "unmarked switch, other than mercury tube: 5 kA"),
        ("switch_unit", "unmarked switch unit: 5 kA"),
    ],
)
def test_r2_an_assumed_value_names_its_row(kind: str, because: str) -> None:
    """Other rows have 5 kA as well."""
    values = {each.id: each.because for each in rate(with_part(part(kind, "X1", "FC1"))).components}

    assert values["X1"] == f"{because}, Table SB4.1"


def test_what_holds_without_condition_is_known_of_each_value() -> None:
    ratings = [*withstands("10 kA", "480 V"), *withstands("14 kA", "240 V")]
    plain = contactor("KM1", "FC1", "18 kA")
    refused = contactor("KM2", "FC1", short_circuit_ratings=ratings)
    case = subject(load_panel(panel(breaker("FC1"), plain, refused)))
    values = [component_value(case, case.one_line.components[name], frozenset()) for name in ("KM1", "KM2")]

    assert [value.unconditional for value in values] == [18_000_000, 10_000_000]
    assert [len(value.refused) for value in values] == [0, 1]
