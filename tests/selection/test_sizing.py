"""What circuits require: worked by hand from the clauses named."""

import pytest

from tests.selection.drawing import amperes
from tests.selection.drawing import chosen
from tests.selection.drawing import circuit
from tests.selection.drawing import codes
from tests.selection.drawing import motor
from tests.selection.drawing import required

BREAKER, DELAYED, PLAIN = "inverse_time_breaker", "time_delay_fuse", "non_time_delay_fuse"


def full_load(load: dict, **fields: object) -> float:
    found = required(load, **fields).full_load
    assert found is not None
    return found.current / 1000


@pytest.mark.parametrize(
    ("horsepower", "least", "breaker", "delayed", "plain"),
    [
        ("0.5 hp", 1.375, 15, 3, 6),  # 1.1 A: 2.75, 1.925, 3.3
        ("5 hp", 9.5, 20, 15, 25),  # 7.6 A: 19, 13.3, 22.8
        ("10 hp", 17.5, 35, 25, 45),  # 14 A: 35, 24.5, 42
        ("50 hp", 81.25, 175, 125, 200),  # 65 A: 162.5, 113.75, 195
        ("100 hp", 155, 350, 225, 400),  # 124 A: 310, 217, 372
    ],
)
def test_motor_at_460_volts(horsepower: str, least: float, breaker: int, delayed: int, plain: int) -> None:
    """NEC Table 430.250, 430.52(C)(1), 240.6(A)."""
    found = required(motor(horsepower))

    assert amperes(found, BREAKER) == (least, breaker)
    assert amperes(found, DELAYED) == (least, delayed)
    assert amperes(found, PLAIN) == (least, plain)


def test_a_motors_protection_need_not_be_rounded_up() -> None:
    assert amperes(required(motor("5 hp"), round_up=False))[1] == 15
    assert amperes(required(motor("10 hp"), round_up=False))[1] == 35
    assert amperes(required(motor("0.5 hp"), round_up=False))[1] == 15  # no breaker size below it
    assert amperes(required(motor("0.5 hp"), round_up=False), DELAYED)[1] == 1


@pytest.mark.parametrize(
    ("horsepower", "fields", "current"),
    [
        ("7.5 kW", {}, 14),  # 10.05 hp: the row of 10 hp
        ("11 kW", {}, 21),  # 14.7 hp: 15 hp
        ("4 hp", {}, 6.2),  # between 4.8 A of 3 hp and 7.6 A of 5 hp
        ("10 hp", {"voltage": "400 V"}, 18),
        ("10 hp", {"voltage": "575 V"}, 11),
    ],
)
def test_the_row_a_motor_is_read_in(horsepower: str, fields: dict, current: float) -> None:
    assert full_load(motor(horsepower, **fields)) == current


def test_a_single_phase_motor_line_to_neutral() -> None:
    """NEC Table 430.248: 1 hp at 115 V draws 16 A; 250 % is 40 A."""
    found = required({"motor": {"horsepower": "1 hp", "voltage": "115 V", "phases": 1}}, voltage="208Y/120 V", poles=1)

    assert found.full_load is not None
    assert found.full_load.current == 16_000
    assert found.poles == 1
    assert amperes(found)[1] == 40
    assert found.inrush is not None
    assert found.inrush.current == 172_800  # six times, first crest 1.8 times


def test_a_motor_outside_the_tables_is_not_sized_without_its_current() -> None:
    selection = chosen(motor("1000 hp"))

    assert not selection.sized
    assert selection.as_dict()["status"] == "not_sized"
    assert [finding.code for finding in selection.findings if finding.severity == "error"] == [
        "full-load-current-unknown"
    ]
    assert not selection.suitable
    assert not selection.near_misses
    assert full_load(motor("1000 hp", full_load_current="1180 A")) == 1180
    assert full_load(motor("5 hp", voltage="277 V", full_load_current="13 A")) == 13


def test_the_tables_current_sizes_and_the_nameplates_sets_the_overload() -> None:
    """NEC 430.6(A), 430.32(A)(1): 10 hp with a nameplate of 12.8 A, service factor 1.15."""
    found = required(motor("10 hp", full_load_current="12.8 A", service_factor=1.15))

    assert found.full_load is not None
    assert found.overload is not None
    assert found.full_load.current == 14_000
    assert found.overload.current == 16_000
    assert amperes(found)[1] == 35


@pytest.mark.parametrize(
    ("nameplate", "trip"),
    [
        ({}, 11.5),
        ({"service_factor": "1.14"}, 11.5),
        ({"service_factor": "1.15"}, 12.5),
        ({"temperature_rise": "40 °C"}, 12.5),
        ({"temperature_rise": "41 °C"}, 11.5),
        ({"temperature_rise": "41 °C", "service_factor": 1.25}, 12.5),
    ],
)
def test_overload(nameplate: dict, trip: float) -> None:
    overload = required(motor("7.5 hp", full_load_current="10 A", **nameplate)).overload

    assert overload is not None
    assert overload.current == trip * 1000


def test_a_motor_of_low_speed_is_sized_by_its_nameplate() -> None:
    assert full_load(motor("10 hp", full_load_current="16 A", low_speed=True)) == 16
    assert "nameplate-above-table" in codes(motor("10 hp", full_load_current="16 A"))
    assert full_load(motor("10 hp", full_load_current="16 A")) == 14


def test_a_wound_rotor_motor_has_the_lower_limits() -> None:
    assert amperes(required(motor("30 hp", type="wound_rotor")))[1] == 60
    assert amperes(required(motor("30 hp", type="squirrel_cage")))[1] == 100


def test_a_single_phase_motor_is_read_in_its_own_row_whatever_its_type() -> None:
    load = {"motor": {"horsepower": "1 hp", "voltage": "115 V", "phases": 1, "type": "wound_rotor"}}

    assert amperes(required(load, voltage="208Y/120 V", poles=1))[1] == 40


def test_a_motor_at_400_volts_names_the_table_of_ul_508a() -> None:
    at_400, at_460 = (required(motor(voltage=volts)).full_load for volts in ("400 V", "460 V"))

    assert at_400 is not None
    assert at_460 is not None
    assert at_400.clause.startswith("UL 508A")
    assert at_460.clause == "NEC 430.6(A)(1), Table 430.250"


def test_a_dc_motor_is_sized_by_its_nameplate() -> None:
    """NEC Table 430.52, last row: 150 %."""
    found = required({"motor": {"full_load_current": "20 A"}}, voltage="90 V", system="dc")

    assert amperes(found)[1] == 30
    assert amperes(found, DELAYED)[1] == 30
    assert not chosen({"motor": {"horsepower": "1 hp"}}, voltage="90 V", system="dc").sized


def test_a_motor_that_does_not_start() -> None:
    """NEC 430.52(C)(1), exceptions: told, not used."""
    small, large = required(motor("10 hp")).span(BREAKER), required(motor("100 hp")).span(BREAKER)

    assert small is not None
    assert large is not None
    assert small.exceptional is not None
    assert large.exceptional is not None
    assert small.exceptional.current == 56_000  # 400 %
    assert large.exceptional.current == 372_000  # 300 % above 100 A


def test_locked_rotor_by_code_letter() -> None:
    """NEC Table 430.7(B): G ends at 6.29 kVA a horsepower; 62.9 kVA at 460 V are 78.95 A, 142.1 A with the crest."""
    inrush = required(motor("10 hp", code_letter="G")).inrush

    assert inrush is not None
    assert 142.0 < inrush.current / 1000 < 142.2
    assert inrush.clause == "NEC 430.7(B), Table 430.7(B)"
    assert "open-code-letter" in codes(motor(code_letter="V"))


@pytest.mark.parametrize(
    ("kva", "protection", "least", "most"),
    [
        ("15 kVA", "primary_only", 22.554, 25),  # 18.043 A: 125 % is 22.554, the next size 25
        ("5 kVA", "primary_only", 7.519, 10.045),  # 6.015 A: 167 %, no rounding up
        ("1 kVA", "primary_only", 1.504, 3.609),  # 1.203 A: 300 %
        ("15 kVA", "primary_and_secondary", 22.554, 45.107),  # 250 %, no rounding up
        ("15 kVA", "secondary", 22.554, 25),
        ("5 kVA", "secondary", 7.519, 10.045),
        ("1 kVA", "control_circuit", 1.504, 6.015),  # 500 %, NEC 430.72(C)(4)
        ("5 kVA", "control_circuit", 7.519, 10.045),
    ],
)
def test_three_phase_transformers_at_480_volts(kva: str, protection: str, least: float, most: float) -> None:
    """NEC Table 450.3(B)."""
    assert amperes(required({"transformer": {"kva": kva, "protection": protection}})) == (least, most)


@pytest.mark.parametrize(("kva", "percent"), [("0.959 kVA", 300), ("0.96 kVA", 167), ("4.319 kVA", 167)])
def test_the_limits_of_2_and_9_amperes_belong_to_the_upper_row(kva: str, percent: int) -> None:
    """At exactly 2 A a transformer is not below 2 A (Table 450.3(B))."""
    span = required({"transformer": {"kva": kva, "phases": 1}}).span(BREAKER)

    assert span is not None
    assert span.maximum.statement.startswith(f"{percent} %")


def test_at_9_amperes_the_next_size_is_permitted() -> None:
    assert amperes(required({"transformer": {"kva": "4.32 kVA", "phases": 1}})) == (11.25, 15)


def test_a_heater_is_continuous_whatever_is_stated() -> None:
    """NEC 424.4(B), 425.4(B): 9 kW at 480 V three-phase is 10.83 A, 13.53 A at 125 %."""
    found = required({"heater": {"kw": "9 kW"}}, continuous=False)

    assert amperes(found) == (13.533, 15)


def test_a_heater_below_its_rated_voltage_gives_less() -> None:
    """4.5 kW at 480 V is 1.125 kW at 240 V: 4.6875 A."""
    heater = {"heater": {"kw": "4.5 kW", "voltage": "480 V", "phases": 1}}

    assert full_load(heater, voltage="240/120 V", system="single_phase_three_wire") == 4.688
    assert "voltage-departs" in codes(heater, voltage="240/120 V", system="single_phase_three_wire")


def test_a_heater_above_48_amperes_is_to_be_divided() -> None:
    """NEC 424.22, 425.22: no circuit of heating elements above 60 A."""
    assert amperes(required({"heater": {"kw": "50 kW"}}))[1] == 60
    assert "heater-to-be-divided" in codes({"heater": {"kw": "50 kW"}})
    assert "heater-to-be-divided" not in codes({"heater": {"kw": "39 kW"}})


@pytest.mark.parametrize(
    ("continuous", "ampacity", "span"),
    [
        (True, None, (20, 20)),  # 16 A continuous: 20 A, conductors sized for that
        (False, None, (16, 20)),
        (True, "23 A", (20, 25)),  # NEC 240.4(B)
        (True, "801 A", (20, 801)),  # NEC 240.4(C)
        (True, "799 A", (20, 800)),
    ],
)
def test_a_plain_current(continuous: bool, ampacity: str | None, span: tuple[float, float]) -> None:
    """NEC 210.20(A), 215.3, 240.4."""
    stated = {} if ampacity is None else {"conductor_ampacity": ampacity}

    assert amperes(required({"current": "16 A"}, continuous=continuous, **stated)) == span


def test_no_circuit_is_held_below_the_smallest_standard_size() -> None:
    assert amperes(required({"current": "1 A"})) == (1.25, 15)
    assert amperes(required({"lighting": {"current": "1 A"}})) == (1.25, 15)


def test_conductors_too_small_are_told() -> None:
    assert "conductors-too-small" in codes({"current": "16 A"}, conductor_ampacity="19.9 A")
    assert "conductors-too-small" not in codes({"current": "16 A"}, conductor_ampacity="20 A")


@pytest.mark.parametrize(
    ("rating", "count", "most"), [("20 A", 1, 20), ("15 A", 1, 15), ("15 A", 2, 20), ("20 A", 3, 20), ("50 A", 2, 50)]
)
def test_receptacles(rating: str, count: int, most: int) -> None:
    """NEC 210.21(B)(1) and Table 210.21(B)(3)."""
    found = required({"receptacle": {"ampere_rating": rating, "count": count}}, voltage="208Y/120 V")

    assert amperes(found) == (float(rating.removesuffix(" A")), most)
    assert found.poles == 1


def test_a_drive_is_sized_by_its_motor() -> None:
    """NEC 430.122(A), 430.130(A)(1): input 18 A, motor 10 hp of 14 A."""
    drive = {"input_current": "18 A", "motor": {"horsepower": "10 hp", "voltage": "460 V"}}

    assert amperes(required({"drive": drive})) == (22.5, 35)
    assert amperes(required({"drive": {**drive, "max_ampere_rating": "30 A"}})) == (22.5, 30)
    assert amperes(required({"drive": {**drive, "max_ampere_rating": "60 A"}})) == (22.5, 35)
    assert amperes(required({"drive": {"input_current": "18 A"}})) == (22.5, 45)
    assert {"instructions-not-stated", "motor-current-not-known"} <= codes({"drive": {"input_current": "18 A"}})


def test_a_single_phase_drive_has_a_three_phase_motor() -> None:
    drive = {"input_current": "20 A", "phases": 1, "motor": {"horsepower": "2 hp", "voltage": "230 V"}}

    assert amperes(required({"drive": drive}, voltage="240 V", system="single_phase_two_wire"))[1] == 20  # of 6.8 A


def test_a_stated_inrush_takes_the_place_of_the_usual() -> None:
    """A crest of 141.42 A is that of 100 A rms, rounded up; one of 141.43 A is that of 100.0061 A."""
    for crest, rms in (("141.42 A", 100_000), ("141.43 A", 100_007)):
        inrush = required(motor(), inrush_peak=crest).inrush
        assert inrush is not None
        assert inrush.current == rms


def test_what_the_device_must_interrupt_is_the_higher_of_the_two() -> None:
    asked = [
        required(motor(), **stated).interrupting
        for stated in (
            {"available_fault_current": "22 kA"},
            {"target": "35 kA"},
            {"available_fault_current": "22 kA", "target": "35 kA"},
            {"available_fault_current": "42 kA", "target": "35 kA"},
            {},
        )
    ]

    assert [figure and figure.current // 1_000_000 for figure in asked] == [22, 35, 35, 42, None]
    assert "fault-current-not-stated" in codes(motor())


def test_ambient_above_40_degrees_is_told() -> None:
    assert "ambient-above-calibration" in codes(motor(), ambient="41 °C")
    assert "ambient-above-calibration" not in codes(motor(), ambient="40 °C")
    assert "ambient-above-calibration" in codes(motor(), ambient="113 °F")


def test_every_figure_names_its_clause() -> None:
    for load in (motor(), {"heater": {"kw": "5 kW"}}, {"transformer": {"kva": "5 kVA"}}, {"current": "5 A"}):
        told = chosen(load, available_fault_current="10 kA").as_dict()["requirement"]
        figures = [told["full_load_current"], told["inrush"], told["interrupting_rating"]]
        figures += [span[end] for span in told["ampere_ratings"] for end in ("minimum", "maximum")]
        assert all(figure["clause"] and figure["statement"] for figure in figures)
        assert circuit(load)["load"] == load
