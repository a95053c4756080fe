"""Each check, at its edge: a part that passes everything is spoiled in one way, and the check says so."""

import pytest

from sccr.selection.checks import CHECKS
from tests.selection.drawing import GRAIN
from tests.selection.drawing import against
from tests.selection.drawing import breaker
from tests.selection.drawing import chosen
from tests.selection.drawing import fuse
from tests.selection.drawing import motor
from tests.selection.drawing import names
from tests.selection.drawing import reason
from tests.selection.drawing import shop

LOAD = {"current": "16 A"}
DELTA = {"voltage": "480 V", "system": "ungrounded_delta"}
AT_277 = [{"voltage": "480Y/277 V", "current": "25 kA"}]


def test_the_order_of_the_checks_is_fixed() -> None:
    assert [*CHECKS] == [
        *("kind", "duty", "poles", "voltage", "system", "minimum_amperes", "maximum_amperes", "horsepower"),
        *("interrupting_rating", "inrush", "trip_curve", "standards", "mounting", "accessories"),
    ]


def test_a_plain_breaker_suits() -> None:
    assert reason(LOAD, breaker(), available_fault_current="25 kA") == ""


@pytest.mark.parametrize(
    ("part", "circuit", "check"),
    [
        (breaker(), {"wanted": {"kinds": ["fuse"]}}, "kind"),
        (breaker(kind="supplementary_protector", standards=["UL 1077"]), {}, "duty"),
        (breaker(standards=["UL 1077", "IEC 60898-1"]), {}, "duty"),
        (fuse(fuse_class="midget", voltage_rating="600 V"), {}, "duty"),
        ({"part": "X", "kind": "fuse", "ampere_rating": "20 A", "voltage_rating": "600 V"}, {}, "duty"),
        (breaker(poles=2), {}, "poles"),
        (breaker(poles=3), {"poles": 2}, "poles"),
        ({k: v for k, v in breaker().items() if k != "poles"}, {}, "poles"),
        (fuse(poles=2), {}, "poles"),
        (breaker(interrupting_ratings=[{"voltage": "240 V", "current": "65 kA"}]), {}, "voltage"),
        (breaker(voltage_rating="240 V"), {}, "voltage"),
        (breaker(interrupting_ratings=[{"voltage": "600 V", "current": "65 kA", "supply": "dc"}]), {}, "voltage"),
        (breaker(interrupting_ratings=[]), {}, "voltage"),
        (fuse(fuse_class="J"), {"voltage": "690 V", "system": "ungrounded_delta"}, "voltage"),
        (fuse(voltage_rating="1000 V"), {"voltage": "690 V", "system": "ungrounded_delta"}, "voltage"),
        (breaker(interrupting_ratings=AT_277), DELTA, "system"),
        (breaker(interrupting_ratings=AT_277), {"system": "impedance_grounded_wye"}, "system"),
        (breaker(voltage_rating="480Y/277 V"), DELTA, "system"),
        (breaker(amperes="19.999 A"), {}, "minimum_amperes"),
        ({k: v for k, v in breaker().items() if k != "ampere_rating"}, {}, "minimum_amperes"),
        (breaker(amperes="20.001 A"), {}, "maximum_amperes"),
        (breaker(), {"available_fault_current": "25001 A"}, "interrupting_rating"),
        (breaker(), {"target": "25001 A"}, "interrupting_rating"),
        (breaker(trip_curve="Z"), {}, "inrush"),
        (breaker(trip_curve="C"), {"wanted": {"trip_curve": "D"}}, "trip_curve"),
        (breaker(), {"wanted": {"trip_curve": "D"}}, "trip_curve"),
        (breaker(), {"wanted": {"standards": ["UL 489", "IEC 60947-2"]}}, "standards"),
        (breaker(), {"wanted": {"mounting": "feet"}}, "mounting"),
        (breaker(accessory_limit=1), {"wanted": {"accessories": ["shunt trip", "alarm switch"]}}, "accessories"),
        (breaker(), {"wanted": {"accessories": ["shunt trip", "alarm switch"]}}, "accessories"),
        (breaker(accessories=["auxiliary contact"]), {"wanted": {"accessories": ["shunt trip"]}}, "accessories"),
        (fuse(), {"wanted": {"accessories": ["shunt trip"]}}, "accessories"),
    ],
)
def test_one_fault_one_check(part: dict, circuit: dict, check: str) -> None:
    assert reason(LOAD, part, **circuit) == check


@pytest.mark.parametrize(
    ("part", "circuit"),
    [
        (breaker(), {"available_fault_current": "25 kA", "target": "25 kA"}),
        (breaker(interrupting_ratings=AT_277), {}),
        (breaker(voltage_rating="480Y/277 V"), {}),
        (breaker(), DELTA),
        (breaker(standards=[]), {}),
        (breaker(standards=["CSA C22.2 No. 5"]), {}),
        (breaker(kind="supplementary_protector", standards=["UL 1077"]), {"duty": "supplementary"}),
        (fuse(), {"available_fault_current": "200 kA"}),
        (fuse(fuse_class="midget", voltage_rating="600 V"), {"duty": "supplementary"}),
        (breaker(trip_curve="B"), {}),
        (breaker(trip_curve="E"), {}),
        (breaker(standards=["ul  489", "IEC 60947-2"]), {"wanted": {"standards": ["UL 489"]}, "duty": "supplementary"}),
        (breaker(), {"wanted": {"mounting": "din rail"}}),
        (fuse(), {"wanted": {"mounting": "DIN rail"}}),
        (breaker(accessory_limit=2), {"wanted": {"accessories": ["shunt trip", "alarm switch"]}}),
        (breaker(), {"wanted": {"accessories": ["shunt trip"]}}),
        (breaker(accessories=["auxiliary switch"]), {"wanted": {"accessories": ["auxiliary contact"]}}),
    ],
)
def test_what_passes(part: dict, circuit: dict) -> None:
    assert reason(LOAD, part, **circuit) == ""


@pytest.mark.parametrize("fuse_class", ["J", "RK1", "RK5", "G", "CF", "K5", "H"])
def test_a_fuse_that_does_not_say_is_held_to_the_time_delay_limit(fuse_class: str) -> None:
    """NEC 430.52: 10 hp, 14 A; 25 A time-delay, 45 A other."""
    part = fuse(amperes="30 A", fuse_class=fuse_class, voltage_rating="600 V")
    marked = {**part, "interrupting_ratings": [{"voltage": "600 V", "current": "200 kA"}]}

    assert reason(motor(), marked) == "maximum_amperes"
    assert reason(motor(), {**marked, "trip_curve": "time-delay"}) == "maximum_amperes"
    assert reason(motor(), {**marked, "trip_curve": "fast-acting"}) == ""
    assert reason(motor(), {**marked, "ampere_rating": "25 A"}) == ""


def test_a_fuse_states_its_delay_in_a_field_of_its_own() -> None:
    """10 hp, 14 A (NEC Table 430.250): 25 A time-delay, 45 A other (430.52)."""
    part = fuse(amperes="30 A", voltage_rating="600 V")

    assert reason(motor(), {**part, "time_delay": True}) == "maximum_amperes"
    assert reason(motor(), {**part, "time_delay": False}) == ""
    assert reason(motor(), {**part, "time_delay": True, "trip_curve": "fast-acting"}) == "maximum_amperes"
    assert reason(motor(), {**part, "fuse_class": "CC", "time_delay": True}) == ""


WARM = [{"ambient": "30 °C", "ampere_rating": "20 A"}, {"ambient": "50 °C", "ampere_rating": "18 A"}]


@pytest.mark.parametrize(
    ("ambient", "current", "check"),
    [
        ("30 °C", "16 A", ""),  # 125 %: 20 A
        ("31 °C", "16 A", "minimum_amperes"),  # that of 50 °C counts: 18 A
        ("50 °C", "14.4 A", ""),
        ("50 °C", "14.41 A", "minimum_amperes"),
        ("51 °C", "1 A", "minimum_amperes"),  # no rating there
        (None, "16 A", ""),
    ],
)
def test_the_ampere_rating_is_that_at_the_ambient_where_the_catalogue_has_it(
    ambient: str | None, current: str, check: str
) -> None:
    more = {} if ambient is None else {"ambient": ambient}

    assert reason({"current": current}, breaker(ambient_ratings=WARM), conductor_ampacity="20 A", **more) == check


def test_a_rating_at_an_ambient_never_counts_above_the_marked_one() -> None:
    cold = breaker(ambient_ratings=[{"ambient": "0 °C", "ampere_rating": "23 A"}])

    assert reason({"current": "16.1 A"}, cold, ambient="-5 °C", conductor_ampacity="20 A") == "minimum_amperes"


def test_an_ambient_without_a_rating_of_the_catalogue_is_told() -> None:
    hot = {"ambient": "45 °C", "available_fault_current": "10 kA"}
    both = chosen(LOAD, shop(breaker("A"), breaker("B", ambient_ratings=[{**WARM[0], "ambient": "50 °C"}])), **hot)
    unsaid = {
        each.device.part
        for each in both.suitable
        for check, told in each.why
        if check == "minimum_amperes" and told.open
    }

    assert unsaid == {"A"}
    assert [f.message for f in both.findings if f.code == "ambient-above-calibration"] == [
        "45 °C is above the 40 °C of the ratings, and the catalogue has no rating there of 1 of the 2 devices: "
        "ask for the correction"
    ]
    known = chosen(LOAD, shop(breaker("B", ambient_ratings=[{**WARM[0], "ambient": "50 °C"}])), **hot)
    assert known.findings == ()


def test_class_cc_has_the_limit_of_other_fuses_even_with_time_delay() -> None:
    """NEC Table 430.52, footnote."""
    for curve in ({}, {"trip_curve": "time-delay"}):
        assert reason(motor(), fuse(amperes="30 A", fuse_class="CC", **curve)) == ""


def test_what_the_catalogue_leaves_unsaid_is_told() -> None:
    selection = chosen(motor(), shop(fuse(amperes="25 A")), available_fault_current="10 kA")
    unsaid = {check: verdict.open for check, verdict in selection.suitable[0].why if verdict.open}

    assert {*unsaid} == {"maximum_amperes", "interrupting_rating", "inrush"}
    stated = chosen(motor(), shop(fuse(amperes="25 A", trip_curve="time-delay")))
    assert "maximum_amperes" not in {check for check, verdict in stated.suitable[0].why if verdict.open}


@pytest.mark.parametrize(
    ("curve", "inrush", "suits"),
    [
        ("C", "141.42 A", True),
        ("C", "141.43 A", False),
        ("B", "85 A", False),
        ("K", "226 A", True),
        ("D", "282 A", True),
    ],
)
def test_the_lower_end_of_the_band_meets_the_crest(curve: str, inrush: str, suits: bool) -> None:
    """20 A: C from 100 A rms, 141.42 A crest (IEC 60898-1); K from 160 A, 226.27 A; D from 200 A, 282.84 A."""
    found = reason(LOAD, breaker(trip_curve=curve), inrush_peak=inrush)

    assert found == ("" if suits else "inrush")


def test_the_interrupting_rating_is_that_at_the_circuits_voltage() -> None:
    ratings = [{"voltage": "240 V", "current": "65 kA"}, {"voltage": "480Y/277 V", "current": "14 kA"}]
    part = shop(breaker(interrupting_ratings=ratings))

    at_240 = chosen(LOAD, part, voltage="240 V", system="ungrounded_delta", available_fault_current="42 kA")
    assert (at_240.suitable[0].interrupting, at_240.suitable[0].margin) == (65_000_000, 23_000_000)
    assert against(chosen(LOAD, part, available_fault_current="42 kA")) == {"NB": "interrupting_rating"}


def test_unmarked_devices_are_worth_what_the_rating_of_a_panel_takes_them_for() -> None:
    """Method R8: breaker 5 kA, class J 200 kA, class H 10 kA; a supplementary protector 0.2 kA."""
    bare = breaker(interrupting_ratings=[], voltage_rating="480 V")
    protector = {**bare, "kind": "supplementary_protector", "standards": ["UL 1077"]}
    cases = [(bare, "5 kA", {}), (fuse(), "200 kA", {}), (fuse(fuse_class="H"), "10 kA", {})]
    cases.append((protector, "0.2 kA", {"duty": "supplementary"}))
    for part, worth, circuit in cases:
        assert reason(LOAD, part, available_fault_current=worth, **circuit) == ""
        more = f"{float(worth.removesuffix(' kA')) * 1000 + 1:g} A"
        assert reason(LOAD, part, available_fault_current=more, **circuit) == "interrupting_rating"


def test_nothing_is_assumed_for_dc() -> None:
    dc = {"voltage": "125 V", "system": "dc"}
    marked = [{"voltage": "125 V", "current": "10 kA", "supply": "dc"}]

    assert reason(LOAD, fuse(), **dc) == "voltage"
    assert reason(LOAD, breaker(poles=1, interrupting_ratings=[], voltage_rating="250 V"), **dc) == "voltage"
    assert reason(LOAD, breaker(poles=1, interrupting_ratings=marked), **dc) == ""
    assert reason(LOAD, breaker(poles=2, interrupting_ratings=marked), poles=2, **dc) == ""


def test_a_rating_that_needs_a_combination_does_not_count() -> None:
    conditional = {
        "voltage": "480 V",
        "current": "65 kA",
        "protected_by": {"device": "fuse", "fuse_classes": ["J"], "max_ampere_rating": "60 A"},
    }
    part = {
        **breaker(kind="manual_motor_controller", self_protected=True, interrupting_ratings=[]),
        "short_circuit_ratings": [conditional],
        "horsepower": "10 hp",
    }
    assert reason(motor(), part) == "voltage"
    alone = {"voltage": "480 V", "current": "42 kA"}
    assert reason(motor(), {**part, "short_circuit_ratings": [conditional, alone]}) == ""


def test_a_self_protected_controller_serves_motors_of_its_power_and_range() -> None:
    part = breaker("MC", "18 A", kind="combination_motor_controller", self_protected=True, horsepower="10 hp")

    assert reason(motor("10 hp"), part) == ""
    assert reason({"current": "14 A"}, part) == "duty"
    assert reason(motor("15 hp"), part) == "minimum_amperes"  # 21 A
    assert reason(motor("5 hp"), part) == "maximum_amperes"  # 7.6 A: 18 A reaches down to 11.25 A
    assert reason(motor("10 hp"), {**part, "horsepower": "7.5 hp"}) == "horsepower"
    assert reason(motor("10 hp"), {**part, "ampere_rating": "14 A"}) == ""
    assert names(chosen(motor(), shop({**part, "self_protected": False, "interrupting_ratings": []}))) == []


def test_a_single_pole_marked_for_line_to_line_is_judged_at_that_voltage() -> None:
    lighting = {"lighting": {"current": "12 A"}}
    part = breaker(poles=1, amperes="15 A", interrupting_ratings=[{"voltage": "277 V", "current": "14 kA"}])

    assert reason(lighting, part) == ""
    assert reason(lighting, {**part, "line_to_line": True}) == "voltage"


def test_a_fuse_stands_in_each_ungrounded_conductor() -> None:
    part = shop(fuse(price="4.50"))

    assert [(s.quantity, str(s.price)) for s in chosen(LOAD, part).suitable] == [(3, "13.50")]
    assert [(s.quantity, str(s.price)) for s in chosen(LOAD, part, poles=2).suitable] == [(2, "9.00")]


def test_no_supplementary_protector_ever_serves_a_branch() -> None:
    protectors = {part.part for part in GRAIN.parts.values() if part.kind.supplementary}
    branch = chosen({"lighting": {"current": "4.8 A"}}, available_fault_current="1 kA", continuous=False)
    behind = chosen(
        {"lighting": {"current": "4.8 A"}}, available_fault_current="1 kA", duty="supplementary", continuous=False
    )

    assert protectors
    assert not protectors & set(names(branch))
    assert {part: check for part, check in against(branch).items() if part in protectors} == dict.fromkeys(
        protectors, "duty"
    )
    assert set(names(behind)) == {*names(branch), "RYE-1P-C10"}
