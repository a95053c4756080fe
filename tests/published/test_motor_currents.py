"""Motor and transformer circuits as they are worked in print. Each test names its source; the values are its own."""

from fractions import Fraction

import pytest

from sccr.selection.tables import tables
from tests.selection.drawing import amperes
from tests.selection.drawing import motor
from tests.selection.drawing import required

THREE_PHASE = {
    "208": "2.4 3.5 4.6 6.6 7.5 10.6 16.7 24.2 30.8 46.2 59.4 74.8 88 114 143 169 211 273 343 396 528",
    "230": "2.2 3.2 4.2 6.0 6.8 9.6 15.2 22 28 42 54 68 80 104 130 154 192 248 312 360 480",
    "460": "1.1 1.6 2.1 3.0 3.4 4.8 7.6 11 14 21 27 34 40 52 65 77 96 124 156 180 240 302 361 414 477 515 590",
}
SINGLE_PHASE = {
    "115": "4.4 5.8 7.2 9.8 13.8 16 20 24 34 56 80 100",
    "230": "2.2 2.9 3.6 4.9 6.9 8.0 10 12 17 28 40 50",
}


@pytest.mark.parametrize(
    ("phases", "column", "printed"),
    [*((3, *each) for each in THREE_PHASE.items()), *((1, *each) for each in SINGLE_PHASE.items())],
)
def test_full_load_currents(phases: int, column: str, printed: str) -> None:
    """NFPA 70, Tables 430.248 and 430.250, by two reproductions of each."""
    assert [current for _, current in tables().full_load[phases, column]] == [
        int(Fraction(each) * 1000) for each in printed.split()
    ]


@pytest.mark.parametrize(
    ("kind", "percents"),
    [
        ("single_phase", (300, 175, 250)),
        ("squirrel_cage", (300, 175, 250)),
        ("design_b_energy_efficient", (300, 175, 250)),
        ("synchronous", (300, 175, 250)),
        ("wound_rotor", (150, 150, 150)),
        ("dc", (150, 150, 150)),
    ],
)
def test_percentages_of_table_430_52(kind: str, percents: tuple[int, int, int]) -> None:
    """NFPA 70 (2011), Table 430.52, as reproduced: non-time-delay fuse, dual-element fuse, inverse-time breaker."""
    devices = ("non_time_delay_fuse", "time_delay_fuse", "inverse_time_breaker")

    assert tuple(tables().motor_percent[kind, device] for device in devices) == percents


def test_annex_d_example_d8_squirrel_cage_motor() -> None:
    """NFPA 70, Annex D, Example D8 (from memory): 25 hp, 460 V, nameplate 32 A, service factor 1.15.

    Full-load current 34 A; overload 40 A; non-time-delay fuses 102 A, next standard size 110 A.
    """
    found = required(motor("25 hp", full_load_current="32 A", service_factor="1.15", code_letter="F"))

    assert found.full_load is not None
    assert found.overload is not None
    assert found.full_load.current == 34_000
    assert found.overload.current == 40_000
    assert amperes(found, "non_time_delay_fuse")[1] == 110
    assert "102 A" in found.spans[2].maximum.statement


def test_annex_d_example_d8_wound_rotor_motors() -> None:
    """The same example: 30 hp, 460 V wound rotor, primary 38 A, 40 °C rise: 40 A; overload 47.5 A; fuses 60 A."""
    found = required(motor("30 hp", type="wound_rotor", full_load_current="38 A", temperature_rise="40 °C"))

    assert found.full_load is not None
    assert found.overload is not None
    assert found.full_load.current == 40_000
    assert found.overload.current == 47_500
    assert amperes(found, "non_time_delay_fuse")[1] == 60


def test_a_fifty_horsepower_exercise() -> None:
    """An exercise in print on NEC 430.22 and 430.52: 50 hp, 480 V: 65 A, conductors 81.25 A, breaker 175 A."""
    assert amperes(required({"motor": {"horsepower": "50 hp"}})) == (81.25, 175)


def test_the_nameplate_does_not_size_the_circuit() -> None:
    """An exercise in print on NEC 430.6(A)(1): 7.5 hp, 230 V, nameplate 20 A: 22 A, so 27.5 A and not 25 A."""
    load = {"motor": {"horsepower": "7.5 hp", "full_load_current": "20 A"}}

    assert amperes(required(load, voltage="240 V", system="ungrounded_delta"))[0] == 27.5


def test_a_thirty_horsepower_exercise() -> None:
    """An exercise in print on NEC 430.22(A): 30 hp, 460 V, Design B: 40 A, conductors 50 A."""
    assert amperes(required(motor("30 hp")))[0] == 50


def test_a_transformer_of_25_kva() -> None:
    """A textbook example on NEC 450.3: 25 kVA, single-phase, 480 V: 52 A; 125 % is 65.1 A, so 70 A by note 1."""
    found = required({"transformer": {"kva": "25 kVA", "phases": 1}})

    assert found.full_load is not None
    assert round(found.full_load.current / 1000) == 52
    assert amperes(found)[1] == 70


@pytest.mark.parametrize(("horsepower", "locked"), [("5 hp", 46), ("10 hp", 81), ("50 hp", 363), ("200 hp", 1450)])
def test_locked_rotor_currents(horsepower: str, locked: int) -> None:
    """NFPA 70 (2008), Table 430.251(B), as reproduced, 460 V; the first crest is ours."""
    inrush = required(motor(horsepower)).inrush

    assert inrush is not None
    assert inrush.clause == "NEC Table 430.251(B)"
    assert inrush.current == locked * 1800
