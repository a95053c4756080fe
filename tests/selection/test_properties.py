"""What holds for every circuit and catalogue: found on random ones."""

from typing import Any

from hypothesis import given
from hypothesis import settings
from hypothesis import strategies as st

from sccr.schema.circuit import load_circuit
from sccr.selection import select
from sccr.selection.checks import CHECKS
from sccr.selection.choosing import requirement
from sccr.selection.device import devices
from sccr.selection.selection import Selection
from sccr.selection.verdict import Case
from tests.selection.drawing import GRAIN
from tests.selection.drawing import circuit
from tests.selection.drawing import names
from tests.selection.drawing import shop

SYSTEMS = st.sampled_from(
    [
        ("480Y/277 V", "solidly_grounded_wye"),
        ("480 V", "ungrounded_delta"),
        ("480 V", "impedance_grounded_wye"),
        ("240 V", "corner_grounded_delta"),
        ("240 V", "high_leg_delta"),
        ("208Y/120 V", "solidly_grounded_wye"),
        ("600Y/347 V", "solidly_grounded_wye"),
        ("240/120 V", "single_phase_three_wire"),
        ("120 V", "single_phase_two_wire"),
        ("60 V", "dc"),
    ]
)
CURRENTS = st.sampled_from(["0.2 kA", "5 kA", "10 kA", "14 kA", "22 kA", "35 kA", "65 kA", "100 kA", "200 kA"])
AMPERES = st.sampled_from(["0.5 A", "2 A", "6 A", "10 A", "15 A", "16 A", "20 A", "25 A", "30 A", "60 A", "100 A"])
VOLTAGES = ["120 V", "240 V", "277 V", "480 V", "480Y/277 V", "240/120 V", "600Y/347 V", "600 V"]
CURVES = ["B", "C", "D", "K", "Z", "X"]
ACCESSORIES = ["auxiliary contact", "alarm switch", "shunt trip", "undervoltage release"]
STANDARDS = ["UL 489", "UL 1077", "IEC 60947-2", "CSA C22.2 No. 5"]

wishes = st.fixed_dictionaries(
    {},
    optional={
        "kinds": st.lists(
            st.sampled_from(["circuit_breaker", "fuse", "supplementary_protector"]), min_size=1, max_size=2
        ),
        "standards": st.lists(st.sampled_from(STANDARDS), min_size=1, max_size=2),
        "mounting": st.sampled_from(["DIN rail", "feet"]),
        "accessories": st.lists(st.sampled_from(ACCESSORIES), min_size=1, max_size=2),
        "trip_curve": st.sampled_from(CURVES[:-1]),
    },
)


@st.composite
def loads(draw: st.DrawFn, system: str) -> dict[str, Any]:
    current = draw(AMPERES)
    choices: list[dict[str, Any]] = [
        {"current": current},
        {"lighting": {"current": current}},
        {"receptacle": {"ampere_rating": current, "count": draw(st.integers(1, 3))}},
        {"drive": {"input_current": current}},
        {"transformer": {"kva": draw(st.sampled_from(["0.5 kVA", "1 kVA", "5 kVA", "15 kVA"]))}},
        {"heater": {"kw": draw(st.sampled_from(["0.5 kW", "4.5 kW", "9 kW"]))}},
        {"motor": {"full_load_current": current}},
    ]
    if system != "dc":
        choices.append({"motor": {"horsepower": draw(st.sampled_from(["0.5 hp", "3 hp", "10 hp", "50 hp"]))}})
    return draw(st.sampled_from(choices))


@st.composite
def circuits(draw: st.DrawFn) -> dict[str, Any]:
    voltage, system = draw(SYSTEMS)
    optional = {
        "available_fault_current": CURRENTS,
        "target": CURRENTS,
        "inrush_peak": st.sampled_from(["10 A", "100 A", "400 A"]),
        "conductor_ampacity": AMPERES,
    }
    stated = draw(st.fixed_dictionaries({}, optional=optional))
    return circuit(
        draw(loads(system)),
        voltage=voltage,
        system=system,
        duty=draw(st.sampled_from(["branch", "branch", "supplementary"])),
        continuous=draw(st.booleans()),
        wanted=draw(wishes),
        **stated,
    )


@st.composite
def parts(draw: st.DrawFn, number: int) -> dict[str, Any]:
    kind = draw(st.sampled_from(["circuit_breaker", "circuit_breaker", "fuse", "supplementary_protector"]))
    rating = st.fixed_dictionaries({"voltage": st.sampled_from(VOLTAGES), "current": CURRENTS})
    optional = {
        "interrupting_ratings": st.lists(rating, min_size=1, max_size=3),
        "voltage_rating": st.sampled_from(VOLTAGES),
        "standards": st.lists(st.sampled_from(STANDARDS), min_size=1, max_size=2),
        "mounting": st.sampled_from(["DIN rail", "feet"]),
        "accessories": st.lists(st.sampled_from(ACCESSORIES), min_size=1, max_size=3),
        "accessory_limit": st.integers(1, 3),
        "trip_curve": st.sampled_from(CURVES),
        "poles": st.integers(1, 3),
        "ampere_rating": AMPERES,
        "price": st.sampled_from(["1", "10", "99.50"]),
    }
    if kind == "fuse":
        optional["fuse_class"] = st.sampled_from(["J", "CC", "RK5", "T", "H", "midget"])
    return {"part": f"P{number}", "kind": kind, **draw(st.fixed_dictionaries({}, optional=optional))}


@st.composite
def shops(draw: st.DrawFn) -> Any:
    made = [draw(parts(number)) for number in range(draw(st.integers(1, 6)))]
    return GRAIN if draw(st.booleans()) else shop(*made)


def choose(document: dict[str, Any], catalogue: Any) -> Selection:
    return select(load_circuit(document), catalogue)


@settings(max_examples=80, deadline=None)
@given(circuits(), shops())
def test_suitable_devices_pass_every_check_and_near_misses_fail_the_named_first(document: Any, catalogue: Any) -> None:
    loaded = load_circuit(document)
    needed = requirement(loaded)
    selection = choose(document, catalogue)
    suitable = {each.device.part for each in selection.suitable}
    misses = {each.device.part: each for each in selection.near_misses}

    if not selection.sized:
        assert not suitable
        assert not misses
        return
    for device in devices(catalogue).devices:
        case = Case(loaded, needed, device)
        passed = []
        for name, check in CHECKS.items():
            if not check(case).passed:
                break
            passed.append(name)
        if device.part in suitable:
            assert passed == [*CHECKS]
        else:
            assert misses[device.part].check == [*CHECKS][len(passed)]
            assert misses[device.part].passed == len(passed)


@settings(max_examples=60, deadline=None)
@given(circuits(), shops(), CURRENTS, CURRENTS, st.sampled_from(["available_fault_current", "target"]))
def test_more_current_never_finds_more(document: Any, catalogue: Any, one: str, other: str, field: str) -> None:
    less, more = sorted((one, other), key=lambda text: float(text.removesuffix(" kA")))
    unasked = {name: value for name, value in document.items() if name != field}
    with_less, with_more = (set(names(choose({**document, field: each}, catalogue))) for each in (less, more))

    assert with_more <= with_less <= set(names(choose(unasked, catalogue)))


@settings(max_examples=60, deadline=None)
@given(circuits(), shops())
def test_a_wish_less_never_finds_fewer(document: Any, catalogue: Any) -> None:
    found = set(names(choose(document, catalogue)))
    for dropped in document["wanted"]:
        kept = {name: wish for name, wish in document["wanted"].items() if name != dropped}
        assert found <= set(names(choose({**document, "wanted": kept}, catalogue)))


@settings(max_examples=40, deadline=None)
@given(circuits(), shops())
def test_supplementary_duty_never_finds_fewer_and_branch_duty_no_protector(document: Any, catalogue: Any) -> None:
    branch = choose({**document, "duty": "branch"}, catalogue)

    assert set(names(branch)) <= set(names(choose({**document, "duty": "supplementary"}, catalogue)))
    assert not any(each.device.kind.supplementary for each in branch.suitable)


@settings(max_examples=60, deadline=None)
@given(circuits(), shops())
def test_what_is_found_is_in_order_and_safe(document: Any, catalogue: Any) -> None:
    """The claims that matter, without the checks: amperes, poles, interrupting rating."""
    selection = choose(document, catalogue)
    needed = selection.requirement
    for each in selection.suitable:
        span = needed.span(each.device.type)
        assert span is not None
        assert each.device.amperes is not None
        assert span.minimum.current <= each.device.amperes <= span.maximum.current
        assert each.quantity * (each.device.poles or 1) == needed.poles
        assert needed.interrupting is None or each.interrupting >= needed.interrupting.current
    amperes = [each.device.amperes or 0 for each in selection.suitable]
    assert amperes == sorted(amperes)
