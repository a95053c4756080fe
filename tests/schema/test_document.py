"""The panel document, field by field: what each takes, and how each refuses."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from marshmallow import ValidationError

from sccr.panel.component import Exemption
from sccr.panel.component import InterruptingRating
from sccr.panel.component import LetThrough
from sccr.panel.component import Position
from sccr.panel.component import Power
from sccr.panel.component import ProtectedBy
from sccr.panel.component import SeriesRating
from sccr.panel.component import ShortCircuitRating
from sccr.panel.component import SupplyType
from sccr.panel.component import Transformer
from sccr.panel.kinds import kinds
from sccr.panel.panel import Options
from sccr.panel.panel import Panel
from sccr.panel.voltage import Form
from sccr.panel.voltage import System
from sccr.panel.voltage import Voltage
from sccr.schema.document import ComponentSchema
from sccr.schema.load import load_panel
from sccr.schema.problems import found

Document = dict[str, Any]
Find = Callable[..., list[tuple[str, str]]]
Tell = Callable[..., dict[str, str]]

V480 = Voltage(480_000)
WYE480 = Voltage(480_000, 277_000, Form.WYE)


def loaded(document: Document) -> Panel:
    return load_panel(document, None, "test-edition")


def put(document: Document, path: str, value: Any) -> str:
    """Put a value into a document and return its pointer."""
    place: Any = document
    *way, last = path.split("/")
    for token in way:
        place = place[int(token)] if isinstance(place, list) else place[token]
    place[int(last) if isinstance(place, list) else last] = value
    return f"/{path}"


def test_a_whole_panel_is_read(document: Document) -> None:
    panel = loaded(document)

    assert panel.identity["designation"] == "BE-4"
    assert panel.edition == "test-edition"
    assert panel.target == 65_000_000
    assert panel.options == Options()
    assert panel.catalogue_digest is None
    assert [component.id for component in panel.components] == ["-QA1", "-QA2", "-QM2", "-MA2", "-TA1", "-XT1"]


def test_a_supply_is_read(document: Document) -> None:
    supply = loaded(document).supplies[0]

    assert (supply.id, supply.voltage, supply.system) == ("S1", WYE480, System.SOLIDLY_GROUNDED_WYE)
    assert (supply.phases, supply.wires, supply.frequency) == (3, 4, "60 Hz")
    assert (supply.available_fault_current, supply.available_fault_current_date) == (42_000_000, "2026-03-31")
    assert (supply.full_load_current, supply.source) == (86_500, None)


def test_upstream_protection_becomes_a_component_ahead_of_the_supply(document: Document) -> None:
    fuse = loaded(document).supplies[0].upstream_protection

    assert fuse is not None
    assert (fuse.id, fuse.kind, fuse.fed_from) == ("S1:upstream", kinds()["fuse"], ())
    assert (fuse.fuse_class, fuse.amperes) == ("J", 200_000)
    assert fuse.interrupting_ratings == (InterruptingRating(200_000_000, Voltage(600_000)),)


def test_an_upstream_breaker_may_be_current_limiting(document: Document) -> None:
    document["supplies"][0]["upstream_protection"] = {
        "device": "circuit_breaker",
        "part": "NB-3P-400",
        "voltage_rating": "480 V",
        "current_limiting": True,
        "let_through": [{"available": "65 kA", "peak": "30 kA", "voltage": "480 V"}],
    }
    breaker = loaded(document).supplies[0].upstream_protection
    assert breaker is not None
    assert (breaker.kind.name, breaker.part, breaker.voltage, breaker.current_limiting) == (
        "circuit_breaker",
        "NB-3P-400",
        V480,
        True,
    )


def test_a_breaker_is_read(document: Document) -> None:
    breaker = loaded(document).components[0]

    assert (breaker.kind.name, breaker.fed_from, breaker.poles, breaker.amperes) == (
        "circuit_breaker",
        ("S1",),
        3,
        100_000,
    )
    assert breaker.voltage == V480
    assert breaker.interrupting_ratings[1] == InterruptingRating(100_000_000, Voltage(240_000))
    assert breaker.current_limiting
    assert breaker.let_through == (LetThrough(65_000_000, 21_000_000, V480, Decimal(900_000)),)
    assert (breaker.standards, breaker.accessories, breaker.accessory_limit) == (("UL 489",), ("auxiliary contact",), 1)
    assert (breaker.part, breaker.control, breaker.in_field, breaker.location_stated) == (None, False, False, False)
    assert breaker.from_catalogue == frozenset()


def test_a_series_rating_is_read(document: Document) -> None:
    line_side = ProtectedBy("circuit_breaker", parts=("NB-3P-100",))
    expected = SeriesRating(line_side, 65_000_000, WYE480, "combination table, sheet 3")
    assert loaded(document).components[1].series_ratings == (expected,)


def test_a_contactor_is_read(document: Document) -> None:
    contactor = loaded(document).components[2]
    behind = ProtectedBy("fuse", fuse_classes=("J", "CC"), max_amperes=30_000)

    assert contactor.power == Power(horsepower=Decimal(10))
    assert contactor.short_circuit_ratings == (
        ShortCircuitRating(5_000_000, Voltage(600_000)),
        ShortCircuitRating(100_000_000, V480, SupplyType.AC, behind),
    )


def test_a_rating_may_be_marked_for_dc(document: Document) -> None:
    document["components"][2]["short_circuit_ratings"][0]["supply"] = "dc"
    document["components"][0]["interrupting_ratings"][0]["supply"] = "ac"
    panel = loaded(document)
    assert panel.components[2].short_circuit_ratings[0].supply is SupplyType.DC
    assert panel.components[0].interrupting_ratings[0].supply is SupplyType.AC


def test_a_transformer_is_read(document: Document) -> None:
    assert loaded(document).components[4].transformer == Transformer(
        secondaries=(Voltage(240_000, 120_000, Form.THREE_WIRE), Voltage(24_000)),
        secondary_systems=(System.SINGLE_PHASE_THREE_WIRE, System.SINGLE_PHASE_TWO_WIRE),
        primary=V480,
        volt_amperes=Decimal(5000),
        phases=1,
        impedance_percent=Decimal("2.1"),
        isolated=True,
    )


def test_one_secondary_needs_no_brackets(document: Document) -> None:
    document["components"][4]["transformer"] = {"secondary": "120 V", "secondary_system": "single_phase_two_wire"}
    document["components"][5]["fed_from"] = "-TA1"
    transformer = loaded(document).components[4].transformer
    assert transformer == Transformer((Voltage(120_000),), (System.SINGLE_PHASE_TWO_WIRE,))


def test_the_place_of_a_component_is_read(document: Document) -> None:
    terminals = loaded(document).components[5]

    assert (terminals.control, terminals.in_field, terminals.location_stated) == (True, False, True)
    assert terminals.position is Position.BEHIND_CURRENT_TRANSFORMER
    assert terminals.exempt == Exemption("beyond the control fuse", "drawing 4-117")
    assert (terminals.fed_from, terminals.mounting) == (("-TA1/2",), "rail")


def test_a_component_may_stand_in_the_field(document: Document) -> None:
    document["components"][3]["location"] = "field"
    motor = loaded(document).components[3]
    assert (motor.in_field, motor.location_stated) == (True, True)


@pytest.mark.parametrize("kind", sorted(kinds()))
def test_every_kind_is_known(document: Document, kind: str) -> None:
    document["components"].append({"id": "-X9", "kind": kind, "fed_from": "-QA2"})
    assert loaded(document).components[-1].kind is kinds()[kind]


WRONG_VALUES = [
    ("format", "panel/2", "unknown-format"),
    ("format", 1, "unknown-format"),
    ("target", 65, "not-a-quantity"),
    ("target", "65", "not-a-quantity"),
    ("target", "65 ka", "unknown-unit"),
    ("edition", "", "not-an-id"),
    ("edition", 3, "not-text"),
    ("options", [], "not-an-object"),
    ("options", {"credit_feeder_components": "yes"}, "/credit_feeder_components not-a-flag"),
    ("options", {"transformer_impedance_credit": 1}, "/transformer_impedance_credit not-a-flag"),
    ("options", {"credit_feeders": True}, "/credit_feeders unknown-field"),
    ("panel", "BE-4", "not-an-object"),
    ("panel/designation", "", "empty"),
    ("panel/designation", "   ", "empty"),
    ("panel/title", "x" * 501, "too-long"),
    ("panel/title", "two\nlines", "control-character"),
    ("panel/title", "\ud800", "control-character"),
    ("panel/enclosure_type", 12, "not-text"),
    ("panel/serial", None, "null"),
    ("panel/colour", "grey", "unknown-field"),
    ("supplies", [], "wrong-length"),
    ("supplies", {}, "not-a-list"),
    ("supplies/0", "S1", "not-an-object"),
    ("supplies/0/voltage", 480, "not-a-quantity"),
    ("supplies/0/system", "wye", "unknown-system"),
    ("supplies/0/system", ["dc"], "unknown-system"),
    ("supplies/0/phases", 2, "out-of-range"),
    ("supplies/0/phases", 4, "out-of-range"),
    ("supplies/0/phases", 3.0, "not-an-integer"),
    ("supplies/0/phases", "3", "not-an-integer"),
    ("supplies/0/phases", True, "not-an-integer"),
    ("supplies/0/phases", 1, "contradiction"),
    ("supplies/0/wires", 6, "out-of-range"),
    ("supplies/0/wires", 2, "contradiction"),
    ("supplies/0/frequency", "60", "not-a-quantity"),
    ("supplies/0/frequency", "60 kA", "wrong-dimension"),
    ("supplies/0/available_fault_current_date", "31.03.2026", "not-a-date"),
    ("supplies/0/available_fault_current_date", "2026-02-30", "not-a-date"),
    ("supplies/0/available_fault_current_date", "20260331", "not-a-date"),
    ("supplies/0/available_fault_current_date", "２０２６-03-31", "not-a-date"),
    ("supplies/0/source", {"kva": "750 kVA"}, "/utility required"),
    ("supplies/0/source", "utility", "not-an-object"),
    ("supplies/0/upstream_protection/device", "breaker", "unknown-device"),
    ("supplies/0/upstream_protection/fuse_class", "R", "unknown-fuse-class"),
    ("supplies/0/upstream_protection/poles", 3, "unknown-field"),
    ("components", [], "wrong-length"),
    ("components/0/id", "", "not-an-id"),
    ("components/3/id", " -MA2", "not-an-id"),
    ("components/3/id", "-MA2 ", "not-an-id"),
    ("components/3/id", "x" * 65, "not-an-id"),
    ("components/3/id", "-MA\u200b2", "not-an-id"),
    ("components/3/id", "-MA\u202e2", "not-an-id"),
    ("components/3/id", 7, "not-text"),
    ("components/0/kind", "circuit breaker", "unknown-kind"),
    ("components/0/kind", None, "null"),
    ("components/0/fed_from", [], "wrong-length"),
    ("components/0/fed_from", {}, "not-text"),
    ("components/0/fed_from", ["S1", "S1"], "/1 repeated"),
    ("components/4/fed_from", ["-QA2", "-QA1", "-QA2"], "/2 repeated"),
    ("components/0/part", "", "not-an-id"),
    ("components/0/circuit", "Power", "unknown-circuit"),
    ("components/0/position", "wye", "unknown-position"),
    ("components/0/location", "outside", "unknown-location"),
    ("components/0/poles", 0, "out-of-range"),
    ("components/0/poles", 5, "out-of-range"),
    ("components/0/poles", "3", "not-an-integer"),
    ("components/0/poles", 10**30, "out-of-range"),
    ("components/0/ampere_rating", 100, "not-a-quantity"),
    ("components/0/ampere_rating", "100 V", "wrong-dimension"),
    ("components/0/voltage_rating", "480", "not-a-quantity"),
    ("components/2/horsepower", 10, "not-a-quantity"),
    ("components/2/horsepower", "10 kVA", "wrong-dimension"),
    ("components/0/current_limiting", "true", "not-a-flag"),
    ("components/0/self_protected", 0, "not-a-flag"),
    ("components/0/line_to_line", None, "null"),
    ("components/0/standards", "UL 489", "not-a-list"),
    ("components/0/standards", [489], "/0 not-text"),
    ("components/0/accessory_limit", 0, "out-of-range"),
    ("components/0/trip_curve", {}, "not-text"),
    ("components/0/interrupting_ratings", "65 kA", "not-a-list"),
    ("components/0/interrupting_ratings/0", "65 kA", "not-an-object"),
    ("components/0/interrupting_ratings/0/current", "65.000 A", "ambiguous-number"),
    ("components/0/interrupting_ratings/0/current", float("nan"), "not-a-quantity"),
    ("components/0/interrupting_ratings/0/supply", "AC", "unknown-supply"),
    ("components/0/interrupting_ratings/0/protected_by", {}, "unknown-field"),
    ("components/0/let_through/0/peak", "21", "not-a-quantity"),
    ("components/0/let_through/0/i2t", "900 kA", "wrong-dimension"),
    ("components/1/series_ratings/0/line_side", "-QA1", "not-an-object"),
    ("components/1/series_ratings/0/line_side/parts", [], "wrong-length"),
    ("components/1/series_ratings/0/line_side/fuse_classes", ["J"], "not-applicable"),
    ("components/2/short_circuit_ratings/1/protected_by/device", "motor", "unknown-device"),
    ("components/2/short_circuit_ratings/1/protected_by/fuse_classes", ["J", "R"], "/1 unknown-fuse-class"),
    ("components/2/short_circuit_ratings/1/protected_by/fuse_classes", ["J", "Q"], "/1 unknown-fuse-class"),
    ("components/2/short_circuit_ratings/1/protected_by/max_ampere_rating", 30, "not-a-quantity"),
    ("components/2/short_circuit_ratings/1/protected_by/parts", ["NB-3P-30"], "not-applicable"),
    ("components/4/transformer/kva", "5 kW", "wrong-dimension"),
    ("components/4/transformer/kva", 5, "not-a-quantity"),
    ("components/4/transformer/impedance", "2.1", "not-a-quantity"),
    ("components/4/transformer/secondary", [], "wrong-length"),
    ("components/4/transformer/secondary/1", "24", "not-a-quantity"),
    ("components/4/transformer/secondary_system", "single_phase_two_wire", "wrong-length"),
    ("components/4/transformer/secondary_system/0", "dc", "unknown-system-of-a-transformer"),
    ("components/4/transformer/isolated", "no", "not-a-flag"),
    ("components/4/transformer/secundary", "24 V", "unknown-field"),
    ("components/4/phases", 3, "contradiction"),
    ("components/5/exempt", True, "not-an-object"),
    ("components/5/exempt", {}, "/reason required"),
    ("components/5/exempt", {"reason": ""}, "/reason empty"),
]


@pytest.mark.parametrize(("path", "value", "code"), WRONG_VALUES)
def test_a_wrong_value_is_refused_at_its_place(
    document: Document, problems: Find, path: str, value: Any, code: str
) -> None:
    pointer = put(document, path, value)
    below, _, name = code.rpartition(" ")
    assert (pointer + below, name) in problems(document)


REQUIRED = [
    "format",
    "panel",
    "panel/designation",
    "supplies",
    "supplies/0/id",
    "supplies/0/voltage",
    "supplies/0/system",
    "supplies/0/upstream_protection/device",
    "supplies/0/upstream_protection/fuse_class",
    "components",
    "components/3/id",
    "components/3/kind",
    "components/3/fed_from",
    "components/0/interrupting_ratings/0/voltage",
    "components/0/interrupting_ratings/0/current",
    "components/0/let_through/0/available",
    "components/0/let_through/0/peak",
    "components/0/let_through/0/voltage",
    "components/1/series_ratings/0/line_side",
    "components/1/series_ratings/0/voltage",
    "components/1/series_ratings/0/current",
    "components/1/series_ratings/0/line_side/device",
    "components/1/series_ratings/0/line_side/parts",
    "components/2/short_circuit_ratings/0/voltage",
    "components/2/short_circuit_ratings/0/current",
    "components/2/short_circuit_ratings/1/protected_by/device",
    "components/2/short_circuit_ratings/1/protected_by/fuse_classes",
    "components/2/short_circuit_ratings/1/protected_by/max_ampere_rating",
    "components/4/transformer/secondary",
    "components/4/transformer",
    "components/5/exempt/reason",
]


@pytest.mark.parametrize("path", REQUIRED)
def test_what_is_required_is_missed(document: Document, problems: Find, path: str) -> None:
    place: Any = document
    *way, last = path.split("/")
    for token in way:
        place = place[int(token)] if isinstance(place, list) else place[token]
    del place[last]
    assert (f"/{path}", "required") in problems(document)


OPTIONAL = [
    "target",
    "options",
    *(f"panel/{name}" for name in ("title", "revision", "enclosure_type")),
    *(
        f"supplies/0/{name}"
        for name in ("phases", "wires", "frequency", "available_fault_current", "upstream_protection")
    ),
    *(
        f"components/0/{name}"
        for name in ("poles", "ampere_rating", "interrupting_ratings", "let_through", "standards")
    ),
    "components/0/let_through/0/i2t",
    "components/1/series_ratings/0/reference",
    *(f"components/4/transformer/{name}" for name in ("kva", "primary", "secondary_system", "phases", "impedance")),
    "components/5/exempt/reference",
]


@pytest.mark.parametrize("path", OPTIONAL)
def test_what_is_optional_is_not_missed(document: Document, problems: Find, path: str) -> None:
    place: Any = document
    *way, last = path.split("/")
    for token in way:
        place = place[int(token)] if isinstance(place, list) else place[token]
    del place[last]
    assert problems(document) == []


@pytest.mark.parametrize(
    ("path", "value", "remedy"),
    [
        ("components/0/ampere_ratng", "30 A", 'did you mean "ampere_rating"?'),
        ("components/0/Poles", 3, 'did you mean "poles"?'),
        ("components/0/short-circuit-ratings", [], 'did you mean "short_circuit_ratings"?'),
        ("supplies/0/avialable_fault_current", "1 kA", 'did you mean "available_fault_current"?'),
        ("targets", "65 kA", 'did you mean "target"?'),
        ("panel/designaton", "x", 'did you mean "designation"?'),
        ("components/0/kind", "circuit-breaker", 'did you mean "circuit_breaker"?'),
        ("components/2/kind", "contacter", 'did you mean "contactor"?'),
        ("supplies/0/system", "Solidly grounded wye", 'did you mean "solidly_grounded_wye"?'),
        ("components/2/short_circuit_ratings/1/protected_by/fuse_classes/0", "rk-5", 'did you mean "RK5"?'),
        ("components/2/fed_from/0", "-QA-2", 'did you mean "-QA2"?'),
        ("components/0/fed_from", "S2", 'did you mean "S1"?'),
        ("components/0/ampere_rating", 100, '"30 A"'),
        ("components/0/interrupting_ratings/0/current", 65, "a bare number could be amperes or kiloamperes"),
    ],
)
def test_the_nearest_right_name_is_offered(
    document: Document, details: Tell, path: str, value: Any, remedy: str
) -> None:
    pointer = put(document, path, value)
    assert remedy in details(document)[pointer]


def test_a_name_that_is_near_to_nothing_gets_no_offer(document: Document, details: Tell) -> None:
    document["colour of the door"] = "grey"
    assert "did you mean" not in details(document)["/colour of the door"]


@pytest.mark.parametrize(
    ("kind", "field", "remedy"),
    [
        ("contactor", "interrupting_ratings", "short_circuit_ratings"),
        ("manual_motor_controller", "interrupting_ratings", "short_circuit_ratings"),
        ("fuseholder", "interrupting_ratings", "short_circuit_ratings"),
        ("terminal_block", "series_ratings", "short_circuit_ratings with protected_by"),
        ("circuit_breaker", "short_circuit_ratings", "interrupting_ratings, or series_ratings"),
        ("fuse", "short_circuit_ratings", "interrupting_ratings"),
        ("circuit_breaker", "exempt", "always counts"),
        ("fuse", "exempt", "always counts"),
        ("contactor", "fuse_class", "protected_by"),
        ("disconnect_switch", "fuse_class", "a component of its own"),
        ("reactor", "transformer", "kind transformer"),
    ],
)
def test_what_a_kind_cannot_have_is_refused_with_its_remedy(
    document: Document, details: Tell, kind: str, field: str, remedy: str
) -> None:
    value = {
        "exempt": {"reason": "none"},
        "fuse_class": "J",
        "transformer": {"secondary": "24 V"},
        "series_ratings": [],
    }.get(field, [{"voltage": "600 V", "current": "10 kA"}])
    document["components"].append({"id": "-X9", "kind": kind, "fed_from": "-QA2", field: value})
    assert remedy in details(document)[f"/components/6/{field}"]


@pytest.mark.parametrize(
    "component",
    [
        {"kind": "supplementary_protector", "interrupting_ratings": [{"voltage": "277 V", "current": "5 kA"}]},
        {"kind": "supplementary_protector", "short_circuit_ratings": [{"voltage": "277 V", "current": "5 kA"}]},
        {"kind": "combination_motor_controller", "interrupting_ratings": [{"voltage": "480 V", "current": "65 kA"}]},
        {"kind": "combination_motor_controller", "short_circuit_ratings": [{"voltage": "480 V", "current": "65 kA"}]},
        {
            "kind": "manual_motor_controller",
            "self_protected": True,
            "interrupting_ratings": [{"voltage": "480Y/277 V", "current": "65 kA"}],
        },
        {"kind": "fuseholder", "fuse_class": "R", "short_circuit_ratings": [{"voltage": "600 V", "current": "200 kA"}]},
        {"kind": "fused_disconnect_switch", "fuse_class": "J"},
        {"kind": "fuse", "fuse_class": "RK1"},
        {"kind": "manual_motor_controller", "exempt": {"reason": "beyond the control fuse"}},
    ],
)
def test_what_a_kind_can_have_is_taken(document: Document, problems: Find, component: Document) -> None:
    document["components"].append({"id": "-X9", "fed_from": "-QA2", **component})
    assert problems(document) == []


def test_a_self_protected_controller_cannot_be_exempt(document: Document, problems: Find) -> None:
    document["components"][2] |= {"self_protected": True, "exempt": {"reason": "none"}}
    assert problems(document) == [("/components/2/exempt", "not-applicable")]


def test_class_r_is_a_class_of_holders(document: Document, details: Tell) -> None:
    document["components"].append({"id": "-FU1", "kind": "fuse", "fed_from": "-QA2", "fuse_class": "R"})
    assert "RK1 or RK5" in details(document)["/components/6/fuse_class"]


def test_what_is_wrong_in_itself_and_by_its_kind_is_told_twice(document: Document, problems: Find) -> None:
    document["components"][2]["interrupting_ratings"] = [{"voltage": "480 V", "current": 65}]
    assert problems(document) == [
        ("/components/2/interrupting_ratings", "not-applicable"),
        ("/components/2/interrupting_ratings/0/current", "not-a-quantity"),
    ]


@pytest.mark.parametrize(
    ("voltage", "system", "phases", "right"),
    [
        ("480Y/277 V", "solidly_grounded_wye", 3, True),
        ("480Y/277 V", "impedance_grounded_wye", 3, True),
        ("480Y/277 V", "ungrounded_delta", 3, False),
        ("480Y/277 V", "corner_grounded_delta", 3, False),
        ("480Y/277 V", "high_leg_delta", 3, False),
        ("208Y/120 V", "single_phase_two_wire", 1, False),
        ("208Y/120 V", "dc", 1, False),
        ("240/120 V", "single_phase_three_wire", 1, True),
        ("240/120 V", "high_leg_delta", 3, True),
        ("240/120 V", "ungrounded_delta", 3, False),
        ("240/120 V", "solidly_grounded_wye", 3, False),
        ("480 V", "ungrounded_delta", 3, True),
        ("480 V", "solidly_grounded_wye", 3, True),
        ("240 V", "single_phase_three_wire", 1, True),
        ("24 V", "dc", 1, True),
    ],
)
def test_a_voltage_agrees_with_its_system(
    document: Document, problems: Find, voltage: str, system: str, phases: int, right: bool
) -> None:
    supply = document["supplies"][0]
    supply |= {"voltage": voltage, "system": system, "phases": phases}
    del supply["wires"], supply["frequency"]
    assert problems(document) == ([] if right else [("/supplies/0/voltage", "contradiction")])


@pytest.mark.parametrize(
    ("system", "phases"),
    [
        ("single_phase_two_wire", 3),
        ("single_phase_three_wire", 3),
        ("dc", 3),
        ("ungrounded_delta", 1),
        ("high_leg_delta", 1),
    ],
)
def test_phases_agree_with_their_system(document: Document, problems: Find, system: str, phases: int) -> None:
    supply = document["supplies"][0]
    supply |= {"voltage": "240 V", "system": system, "phases": phases}
    del supply["wires"], supply["frequency"]
    assert problems(document) == [("/supplies/0/phases", "contradiction")]


@pytest.mark.parametrize(
    ("system", "phases"),
    [("ungrounded_delta", 3), ("single_phase_two_wire", 1), ("single_phase_three_wire", 1), ("dc", 1)],
)
def test_phases_that_are_not_stated_are_those_of_the_system(document: Document, system: str, phases: int) -> None:
    supply = document["supplies"][0]
    supply |= {"voltage": "240 V", "system": system}
    del supply["wires"], supply["frequency"], supply["phases"]
    assert loaded(document).supplies[0].phases == phases


def test_direct_current_has_no_frequency(document: Document, problems: Find) -> None:
    document["supplies"][0] |= {"voltage": "125 V", "system": "dc", "phases": 1, "wires": 2}
    assert problems(document) == [("/supplies/0/frequency", "contradiction")]


@pytest.mark.parametrize(
    ("nameplate", "pointer"),
    [
        ({"secondary": "208Y/120 V", "secondary_system": "ungrounded_delta"}, "/secondary_system"),
        ({"secondary": "240/120 V", "secondary_system": "single_phase_two_wire"}, "/secondary_system"),
        ({"secondary": "120 V", "secondary_system": "single_phase_two_wire", "phases": 3}, "/secondary_system"),
        ({"secondary": "208Y/120 V", "phases": 1}, "/phases"),
        ({"secondary": ["24 V", "120 V"], "secondary_system": ["single_phase_two_wire"]}, "/secondary_system"),
        ({"secondary_system": "single_phase_two_wire"}, "/secondary"),
    ],
)
def test_a_nameplate_agrees_with_itself(document: Document, problems: Find, nameplate: Document, pointer: str) -> None:
    document["components"].append({"id": "-TA9", "kind": "transformer", "fed_from": "-QA2", "transformer": nameplate})
    assert [found for found, _ in problems(document)] == [f"/components/6/transformer{pointer}"]


SPOILED: list[Document] = [
    {},
    {"id": "-Q1", "kind": "fuse", "fed_from": "S1"},
    {"id": 1, "kind": "x", "fed_from": [], "poles": "3", "colour": 1, "part": None},
    {
        "id": "-Q1",
        "fed_from": ["S1", ""],
        "interrupting_ratings": [{"voltage": 1}, 2],
        "transformer": {"kva": 5, "x": 1},
    },
    {"id": "-Q1", "kind": "fuse", "fed_from": "S1", "series_ratings": [{"line_side": {"device": "fuse"}}]},
]


@pytest.mark.parametrize("component", SPOILED)
def test_reading_by_what_is_there_gives_what_marshmallow_gives(component: Document) -> None:
    schema = ComponentSchema()

    def outcome(read: Callable[[Any], Any]) -> Any:
        try:
            return read(component)
        except ValidationError as error:
            return sorted((each.path, each.fault.code) for each in found(error.messages))

    assert outcome(schema.read) == outcome(schema.load)
