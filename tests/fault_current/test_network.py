"""Fault currents worked by hand, one matter a test."""

from math import hypot
from math import sqrt

import pytest

from sccr.fault_current.asymmetry import kappa_peak
from sccr.fault_current.result import FaultKind
from tests.fault_current.drawing import amperes
from tests.fault_current.drawing import calculated
from tests.fault_current.drawing import conductor
from tests.fault_current.drawing import impedance
from tests.fault_current.drawing import motors
from tests.fault_current.drawing import site
from tests.fault_current.drawing import transformer
from tests.fault_current.drawing import utility

LINE, NEUTRAL, GROUND = FaultKind.LINE_LINE, FaultKind.LINE_NEUTRAL, FaultKind.LINE_GROUND
LIGHTING = transformer(kva="75 kVA", primary="480 V", secondary="240/120 V", phases=1, impedance="2.5 %", x_over_r=1.5)


def test_kinds_of_fault_at_the_terminals_of_a_delta_wye_transformer() -> None:
    """Z0 = Z1 on an infinite bus: to ground as three-phase; line to line √3/2 of it."""
    result = calculated(site(utility(), transformer()))

    assert amperes(result) == amperes(result, kind=GROUND) == amperes(result, kind=NEUTRAL) == 20_919
    assert amperes(result, kind=LINE) == pytest.approx(20_918 * sqrt(3) / 2, abs=1)


def test_ground_fault_leaves_out_the_utility_in_zero_sequence() -> None:
    """Pure reactances: Z1 = 0.013248 + 0.0004608, Z0 = 0.013248 Ω: √3 · 480 / (2 Z1 + Z0)."""
    result = calculated(site(utility("500 MVA", x_over_r=200), transformer(x_over_r=None)))
    z1, z0 = 0.013248 + 0.0004608, 0.013248

    assert amperes(result, kind=GROUND) == pytest.approx(sqrt(3) * 480 / (2 * z1 + z0), abs=2)
    assert amperes(result, kind=GROUND) > amperes(result)


def test_wye_wye_transformer_passes_what_its_utility_has_to_ground() -> None:
    through = transformer(primary_connection="grounded_wye")
    without = calculated(site(utility("500 MVA"), through))
    known = calculated(site(utility("500 MVA", line_to_ground_available="20 kA"), through))

    assert without.terminals.of(GROUND) is None
    assert "ground-fault-not-known" in {each.code for each in without.findings}
    assert amperes(known, kind=GROUND) == pytest.approx(amperes(known), rel=0.01)


def test_neutral_and_ground_follow_their_own_size() -> None:
    """Line to neutral: 277 V over source, phase and neutral; a thin neutral draws less, none has no such fault."""
    thick = calculated(site(utility(), transformer(), conductor("3/0 AWG", "50 ft")))
    thin = calculated(site(utility(), transformer(), conductor("3/0 AWG", "50 ft", neutral_size="6 AWG")))
    none = calculated(site(utility(), transformer(), conductor("3/0 AWG", "50 ft", neutral_size="none")))

    assert amperes(thin, kind=NEUTRAL) < amperes(thick, kind=NEUTRAL)
    assert amperes(thin, kind=GROUND) == amperes(thick, kind=GROUND)
    assert none.terminals.of(NEUTRAL) is None


def test_line_to_neutral_of_a_three_phase_run_is_a_loop() -> None:
    """480/√3 over |Zt + 2 Zc| with a neutral of the phase's size and no utility impedance."""
    result = calculated(
        site(utility(), transformer(x_over_r=None), conductor("3/0 AWG", "100 ft", temperature="75 °C"))
    )
    r, x = 2 * 0.0079, 0.013248 + 2 * 0.0052

    assert amperes(result, kind=NEUTRAL) == pytest.approx(480 / sqrt(3) / hypot(r, x), abs=2)


def test_single_phase_transformer_sees_the_loop_of_two_lines() -> None:
    """Utility 0.0277 Ω a phase at 480 V (10 kA, pure X): 2 X (240/480)² + Zt on 240 V."""
    result = calculated(site(utility("10 kA", "480 V"), {**LIGHTING}))
    base = 240**2 / 75_000
    tolerance_free = 0.025 * base
    r = tolerance_free / sqrt(1 + 1.5**2)
    x = 1.5 * r
    source = 2 * 480 / sqrt(3) / 10_000 / 4

    assert amperes(result, kind=LINE) == pytest.approx(240 / hypot(r, x + source), abs=2)
    half = hypot(1.5 * r / 4, 1.2 * x / 4 + source / 4)
    assert amperes(result, kind=NEUTRAL) == pytest.approx(120 / half, abs=2)


def test_line_to_neutral_decays_faster_than_line_to_line() -> None:
    run = conductor("3/0 AWG", "200 ft", neutral_size="3/0 AWG")
    result = calculated(site(utility("20 kA", "480 V"), LIGHTING, run))

    assert amperes(result, 1, NEUTRAL) > 1.3 * amperes(result, 1, LINE)
    assert amperes(result, 2, NEUTRAL) < amperes(result, 2, LINE)


def test_single_phase_primary_between_line_and_neutral() -> None:
    """A 7.2 kV primary on 12.47 kV: the loop is (2 Z1 + Z0) / 3, here Z1: 7200 V over it is the three-phase current."""
    pole = transformer(kva="50 kVA", primary="7.2 kV", secondary="240/120 V", phases=1, impedance="2 %", x_over_r=2)
    result = calculated(site(utility("100 MVA", "12.47 kV", x_over_r=5), pole))
    base = 240**2 / 50_000
    z1 = 12_470**2 / 100e6
    source = z1 * (240 / 7200) ** 2
    r, x = 0.02 * base / sqrt(5) + source / sqrt(26), 2 * 0.02 * base / sqrt(5) + 5 * source / sqrt(26)

    assert amperes(result, kind=LINE) == pytest.approx(240 / hypot(r, x), abs=2)


def test_single_phase_utility_is_a_loop_from_the_beginning() -> None:
    """10 kA line to line at 240/120 V: the run counts there and back; to neutral at most 5/3 of it."""
    source = utility("10 kA", "240/120 V", phases=1)
    result = calculated(site(source, impedance("30 m", "0.5", "0.0001")))

    assert (amperes(result, 0, LINE), amperes(result, 0, NEUTRAL)) == pytest.approx((10_000, 16_667), abs=1)
    assert amperes(result, 1, LINE) == pytest.approx(240 / hypot(0.024, 2 * 0.5 * 0.03), abs=2)


def test_transformers_in_series_are_referred_by_the_square_of_the_ratio() -> None:
    """Infinite bus, pure reactance: 0.013248 · (208/480)² + 0.045 · 208² / 75 000."""
    small = transformer(kva="75 kVA", primary="480 V", secondary="208Y/120 V", impedance="4.5 %", x_over_r=None)
    result = calculated(site(utility(), transformer(x_over_r=None), small))
    z = 0.013248 * (208 / 480) ** 2 + 0.045 * 208**2 / 75_000

    assert amperes(result) == pytest.approx(208 / sqrt(3) / z, abs=1)


def test_parallel_sets_divide_once() -> None:
    one = calculated(site(utility(), transformer(), conductor("500 kcmil", "50 ft")))
    two = calculated(site(utility(), transformer(), conductor("500 kcmil", "100 ft", sets=2)))

    assert amperes(one) == amperes(two)


def test_a_conduit_not_stated_is_the_one_of_the_highest_current() -> None:
    runs = {conduit: conductor("2 AWG", "100 ft", conduit=conduit) for conduit in ("pvc", "steel", "aluminum")}
    del (unstated := conductor("2 AWG", "100 ft"))["conductor"]["conduit"]
    found = {name: amperes(calculated(site(utility(), transformer(), run))) for name, run in runs.items()}

    assert amperes(calculated(site(utility(), transformer(), unstated))) == found["pvc"] == max(found.values())
    assert found["steel"] < found["pvc"]


def test_metric_sizes_at_their_frequency_and_in_steel() -> None:
    """300 mm², 100 m, 50 Hz: R 0.0601 × (1 + 0.00393 × 5), X 0.079 mΩ/m, steel a quarter more, 60 Hz a fifth."""
    for conduit, frequency, times in (("pvc", "50 Hz", 1.0), ("steel", "50 Hz", 1.25), ("pvc", "60 Hz", 1.2)):
        run = conductor("300 mm²", "100 m", conduit=conduit)
        found = amperes(calculated(site(utility(), transformer(x_over_r=None), run, frequency=frequency)))
        r, x = 0.00601 * (1 + 0.00393 * 5), 0.013248 + 0.0079 * times
        assert found == pytest.approx(480 / sqrt(3) / hypot(r, x), abs=2)


def test_single_phase_motors_do_not_feed_the_three_phase_side() -> None:
    source = utility("20 kA", "480 V")
    fed = calculated(site(source, LIGHTING, motors(full_load_current="200 A")))

    assert fed.nodes[0].maximum == calculated(site(source, LIGHTING)).nodes[0].maximum
    assert amperes(fed, kind=LINE) > amperes(calculated(site(source, LIGHTING)), kind=LINE)


def test_feet_and_meters_are_the_same_length() -> None:
    feet = calculated(site(utility(), transformer(), conductor("500 kcmil", "100 ft")))
    metric = calculated(site(utility(), transformer(), conductor("500 kcmil", "30.48 m")))

    assert amperes(feet) == amperes(metric)


def test_motors_add_four_times_their_current_where_they_stand_and_less_behind_a_run() -> None:
    run = conductor("3/0 AWG", "200 ft")
    source = (utility("500 MVA", x_over_r=10), transformer())
    without = calculated(site(*source, run))
    here = calculated(site(*source, motors(full_load_current="300 A"), run))

    assert amperes(here, 1) - amperes(without, 1) == pytest.approx(1200, abs=1)
    assert 0 < amperes(here, 2) - amperes(without, 2) < 300


def test_motors_behind_a_run_feed_the_nodes_ahead_of_it() -> None:
    far = impedance("100 m", "0.0001", "1")
    source = (utility("500 MVA", x_over_r=200), transformer(x_over_r=None))
    without = calculated(site(*source, far))
    behind = calculated(site(*source, far, motors(full_load_current="300 A")))
    own = 480 / sqrt(3) / 1200 + 0.1

    assert amperes(behind, 1) - amperes(without, 1) == pytest.approx(480 / sqrt(3) / own, abs=2)


def test_motors_behind_a_transformer_feed_its_primary_side() -> None:
    """From 13.8 kV: (motors + transformer, pure reactance at 480 V) × (13 800/480)²."""
    source = (utility("500 MVA", x_over_r=200), transformer(x_over_r=None))
    without = calculated(site(*source))
    fed = calculated(site(*source, motors(full_load_current="3000 A")))
    own = (480 / sqrt(3) / 12_000 + 0.013248) * (13_800 / 480) ** 2

    assert amperes(fed, 0) - amperes(without, 0) == pytest.approx(13_800 / sqrt(3) / own, abs=2)


def test_what_a_utility_delivers_to_ground_falls_with_what_it_delivers_at_all() -> None:
    """10 kA and 8 kA to ground, at least 5 kA: then 4 kA to ground."""
    source = utility("10 kA", "480Y/277 V", x_over_r=5, minimum_available="5 kA", line_to_ground_available="8 kA")
    low = {value.kind: value.symmetrical for value in calculated(site(source)).terminals.minimum}

    assert low[GROUND] == pytest.approx(4_000_000, abs=1000)
    assert amperes(calculated(site(source)), kind=GROUND) == 8_000


def test_scalar_figure_of_a_single_phase_transformer_on_two_lines() -> None:
    """Pure reactances add up as magnitudes do: the point-to-point figure is the line-to-line current."""
    document = site(utility("10 kA", "480 V"), transformer(**{**LIGHTING["transformer"], "x_over_r": None}))
    node = calculated(document).terminals

    assert node.point_to_point == pytest.approx(amperes(calculated(document), kind=LINE) * 1000, abs=1000)


def test_no_minimum_where_one_of_the_states_has_none() -> None:
    other = {"name": "other", "utility": utility(), "elements": [transformer()]}

    assert calculated(site(utility("500 MVA"), transformer(), alternates=[other])).least is None


def test_motors_behind_drives_feed_nothing() -> None:
    without = calculated(site(utility("500 MVA"), transformer()))
    driven = calculated(site(utility("500 MVA"), transformer(), motors(full_load_current="300 A", drive_fed=True)))

    assert amperes(driven) == amperes(without)


@pytest.mark.parametrize(
    ("what", "added"),
    [
        ({"horsepower": "100 hp"}, 4 * 100_000 / sqrt(3) / 480),
        ({"share_of_transformer": "100 %"}, 4 * 1_000_000 / sqrt(3) / 480),
        ({"share_of_transformer": "50 %"}, 2 * 1_000_000 / sqrt(3) / 480),
        ({"full_load_current": "100 A", "group": "below_50_hp"}, 360),
        ({"full_load_current": "100 A", "group": "50_hp_and_above"}, 480),
        ({"full_load_current": "100 A", "group": "synchronous"}, 500),
        ({"full_load_current": "100 A", "contribution": 6}, 600),
    ],
)
def test_what_motors_are_known_by(what: dict, added: float) -> None:
    source = (utility("500 MVA", x_over_r=10), transformer())

    assert amperes(calculated(site(*source, motors(**what)))) - amperes(calculated(site(*source))) == pytest.approx(
        added, abs=1
    )


def test_motors_count_in_the_maximum_only() -> None:
    source = (utility("500 MVA"), transformer())

    assert calculated(site(*source, motors(full_load_current="300 A"))).least == calculated(site(*source)).least


def test_minimum_takes_the_least_utility_hot_conductors_and_the_tolerance_the_other_way() -> None:
    source = utility("500 MVA", x_over_r=200, minimum_available="250 MVA")
    result = calculated(site(source, transformer(impedance_tolerance="10 %", x_over_r=None)))
    x = 480**2 / 250e6 + 0.013248 * 1.1
    lowest = result.terminals.minimum[0]

    assert lowest.symmetrical // 1000 == pytest.approx(480 / sqrt(3) / x, abs=1)
    cold = calculated(site(source, transformer(), conductor("6 AWG", "100 ft")))
    hot = calculated(site(source, transformer(), conductor("6 AWG", "100 ft", end_temperature="250 °C")))
    assert hot.least is not None and cold.least is not None and hot.least < cold.least
    assert hot.available == cold.available


def test_infinite_bus_has_no_minimum_and_no_current_of_its_own() -> None:
    result = calculated(site(utility(), transformer()))

    assert result.nodes[0].maximum == () and result.least is None
    assert result.available == 20_919_000
    stated = calculated(site(utility(minimum_available="100 MVA"), transformer()))
    assert stated.least is not None


def test_peaks_of_several_sources_add_up() -> None:
    """IEC 60909-0, motors beside a utility: each with its own κ, above κ of the two in parallel."""
    document = site(
        utility("250 MVA", x_over_r=10),
        transformer(kva="1500 kVA", impedance_tolerance=None, x_over_r=7),
        motors(full_load_current="640 A"),
        method="iec_60909",
    )
    value = calculated(document).terminals.maximum[0]
    assert value.x_over_r is not None
    together = value.symmetrical * kappa_peak(value.x_over_r)
    assert together < value.peak < 1.02 * together


def test_the_highest_of_several_states_counts() -> None:
    generator = {
        "name": "generator",
        "utility": utility("9 kA", "480Y/277 V", x_over_r=15),
        "elements": [conductor("500 kcmil", "30 ft", sets=2)],
    }
    main = (utility("500 MVA", x_over_r=10), transformer())
    both = calculated(site(*main, alternates=[generator]))

    assert both.governing.name == "as described" and both.available == calculated(site(*main)).available
    assert both.least is not None and both.least < 9_000_000
    assert [state["name"] for state in both.as_dict()["states"]] == ["as described", "generator"]


def test_tolerance_not_stated_is_taken_once_on_the_safe_side_and_not_off_a_measured_impedance() -> None:
    assert amperes(calculated(site(utility(), transformer(impedance_tolerance=None)))) == 23_243
    assert amperes(calculated(site(utility(), transformer(impedance_tolerance=None, measured=True)))) == 20_919
    iec = calculated(site(utility(), transformer(impedance_tolerance=None), method="iec_60909"))
    assert amperes(iec) < 23_243


def test_iec_minimum_has_no_correction_of_the_transformer() -> None:
    """c_min 0.95 (6 %), infinite bus, K_T in the maximum only."""
    document = site(
        utility(minimum_available="5000 MVA", minimum_x_over_r=200),
        transformer(impedance_tolerance=None, x_over_r=None),
        method="iec_60909",
        voltage_tolerance="6 %",
    )
    x = 0.013248 + 480**2 / 5000e6
    value = calculated(document).terminals.minimum[0]

    assert value.symmetrical // 1000 == pytest.approx(0.95 * 480 / sqrt(3) / x, abs=1)


def test_every_number_says_what_it_is_and_the_derivation_ends_in_the_result() -> None:
    result = calculated(site(utility("500 MVA"), transformer(), conductor("3/0 AWG", "50 ft")))
    answer = result.as_dict()
    value = answer["nodes"][-1]["maximum"][0]

    assert {"rms_symmetrical", "peak", "peak_ieee_551", "rms_asymmetrical"} < set(value)
    assert 1.41 <= value["peak"]["current_amperes"] / value["rms_symmetrical"]["current_amperes"] <= 2.83
    assert answer["available_fault_current"]["current"] in answer["derivation"][-2]["statement"]
    assert [line["number"] for line in answer["derivation"]] == list(range(1, len(answer["derivation"]) + 1))
    assert answer["nodes"][-1]["bus"] == "supply terminals"
