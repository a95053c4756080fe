"""The oracle against the published cases and the worked values of the rulebook.

Section 10: P1 to P3, P7 and P8 (trade articles on UL 508A, SB4.3.3 and SB4.4).
Section 11: D1 to D20 (derived from Table SB4.1, Table SB4.2 and SB4.3.1 to SB4.3.3).
"""

from typing import Any

import pytest

from tests.oracle.survival import largest_survived
from tests.oracle.survival import survives
from tests.oracle.survival import withheld

KA = 1_000_000
SUPPLY = {"id": "S", "voltage": "480 V", "system": "ungrounded_delta", "phases": 3}


def panel(*components: dict[str, Any], **supply: Any) -> dict[str, Any]:
    """A document with one 480 V supply and these components."""
    return {
        "format": "panel/1",
        "panel": {"designation": "bucket elevator"},
        "supplies": [{**SUPPLY, **supply}],
        "components": list(components),
    }


def marked(current: str, **condition: Any) -> list[dict[str, Any]]:
    """A marking at 480 V, unconditional or with its protected_by."""
    return [{"voltage": "480 V", "current": current, **condition}]


def fuse(id: str, above: str, fuse_class: str, size: str, **fields: Any) -> dict[str, Any]:
    part = {"id": id, "kind": "fuse", "fed_from": above, "fuse_class": fuse_class}
    return {**part, "ampere_rating": size, **fields}


def breaker(id: str, above: str, current: str, **fields: Any) -> dict[str, Any]:
    part = {"id": id, "kind": "circuit_breaker", "fed_from": above}
    return {**part, "interrupting_ratings": marked(current), **fields}


def part(id: str, kind: str, above: str, current: str, **fields: Any) -> dict[str, Any]:
    own = {"id": id, "kind": kind, "fed_from": above}
    return {**own, "short_circuit_ratings": marked(current), **fields}


def unmarked(id: str, kind: str, above: str, **fields: Any) -> dict[str, Any]:
    return {"id": id, "kind": kind, "fed_from": above, **fields}


def motor_branch(feeder: dict[str, Any], contactor: str) -> dict[str, Any]:
    """A feeder fuse, a class CC branch fuse of 200 kA, a contactor and its motor."""
    return panel(
        feeder,
        fuse("F2", "F1", "CC", "30 A"),
        part("Q1", "contactor", "F2", contactor),
        unmarked("M1", "motor", "Q1", phases=3),
    )


P1 = panel(
    fuse("F1", "S", "J", "100 A"),
    {
        "id": "X1",
        "kind": "power_distribution_block",
        "fed_from": "F1",
        "short_circuit_ratings": [
            *marked("10 kA"),
            *marked(
                "100 kA",
                protected_by={
                    "device": "fuse",
                    "fuse_classes": ["J"],
                    "max_ampere_rating": "200 A",
                },
            ),
        ],
    },
    breaker(
        "Q1",
        "X1",
        "14 kA",
        ampere_rating="30 A",
        series_ratings=[
            {
                "line_side": {
                    "device": "fuse",
                    "fuse_classes": ["J"],
                    "max_ampere_rating": "100 A",
                },
                "voltage": "480 V",
                "current": "65 kA",
                "reference": "listed combination",
            }
        ],
    ),
    part("Q2", "motor_starter", "Q1", "65 kA"),
    unmarked("M1", "motor", "Q2"),
    fuse("F2", "X1", "J", "30 A"),
    part("X2", "terminal_block", "F2", "10 kA"),
    part("T1", "drive", "X2", "100 kA"),
    unmarked("M2", "motor", "T1"),
    breaker("F3", "X1", "10 kA", circuit="control"),
    unmarked("T2", "transformer", "F3", circuit="control", transformer={"secondary": "120 V"}),
)
P1_BREAKER_CHANGED = {
    **P1,
    "components": [{**c, "interrupting_ratings": marked("65 kA")} if c["id"] == "F3" else c for c in P1["components"]],
}
P2 = panel(
    fuse("F1", "S", "J", "60 A", interrupting_ratings=marked("50 kA")),
    breaker("Q1", "F1", "35 kA"),
    part("Q2", "contactor", "Q1", "8 kA"),
    part("Q3", "overload_relay", "Q2", "8 kA"),
    unmarked("M1", "motor", "Q3"),
)
P3 = panel(
    fuse("F1", "S", "J", "60 A", interrupting_ratings=marked("65 kA")),
    breaker("Q1", "F1", "10 kA"),
    part("Q2", "contactor", "Q1", "65 kA"),
)
P7 = panel(
    breaker("Q0", "S", "65 kA"),
    breaker("Q1", "Q0", "65 kA"),
    part("Q2", "contactor", "Q1", "5 kA"),
    part("Q3", "overload_relay", "Q2", "5 kA"),
)
P8 = panel(
    fuse("F1", "S", "J", "25 A"),
    breaker("Q1", "F1", "65 kA"),
    part("Q2", "contactor", "Q1", "5 kA"),
)


@pytest.mark.parametrize(
    ("document", "kiloamperes"),
    [
        pytest.param(P1, 10, id="P1"),
        pytest.param(P1_BREAKER_CHANGED, 10, id="P1 sequel: J 100 A lets 12 kA through"),
        pytest.param(P2, 35, id="P2"),
        pytest.param(P3, 10, id="P3"),
        pytest.param(P7, 5, id="P7"),
        pytest.param(P8, 5, id="P8: 6 kA against 5 kA"),
        pytest.param(motor_branch(fuse("F1", "S", "J", "60 A"), "16 kA"), 200, id="D1"),
        pytest.param(motor_branch(fuse("F1", "S", "J", "60 A"), "10 kA"), 100, id="D2"),
        pytest.param(motor_branch(fuse("F1", "S", "J", "60 A"), "5 kA"), 5, id="D4"),
        pytest.param(motor_branch(fuse("F1", "S", "RK1", "100 A"), "22 kA"), 50, id="D7"),
        pytest.param(motor_branch(fuse("F1", "S", "RK5", "30 A"), "10 kA"), 10, id="D8"),
    ],
)
def test_feeder_cases(document: dict[str, Any], kiloamperes: int) -> None:
    assert withheld(document) == []
    assert largest_survived(document) == kiloamperes * KA
    assert survives(document, "S", kiloamperes * KA)
    assert not survives(document, "S", kiloamperes * KA + 1)


def test_d5_credit_never_lifts_a_branch_breaker() -> None:
    document = panel(
        fuse("F1", "S", "J", "60 A"),
        breaker("Q1", "F1", "14 kA"),
        part("Q2", "contactor", "Q1", "16 kA"),
    )
    assert largest_survived(document) == 14 * KA


@pytest.mark.parametrize(
    ("branch", "kiloamperes"),
    [
        pytest.param(fuse("F1", "S", "J", "30 A"), 65, id="class J"),
        pytest.param(fuse("F1", "S", "RK5", "30 A"), 5, id="class RK5"),
        pytest.param(breaker("F1", "S", "65 kA"), 5, id="breaker"),
    ],
)
def test_p7_contactor_tested_with_class_j(branch: dict[str, Any], kiloamperes: int) -> None:
    condition = {"device": "fuse", "fuse_classes": ["J"], "max_ampere_rating": "30 A"}
    contactor = part("Q1", "contactor", "F1", "65 kA")
    contactor["short_circuit_ratings"] = marked("65 kA", protected_by=condition) + marked("5 kA")
    assert largest_survived(panel(branch, contactor)) == kiloamperes * KA


@pytest.mark.parametrize(
    ("fitted", "kiloamperes"),
    [
        pytest.param("CC", 100, id="CC 30 A lets through no more than J 30 A: holds"),
        pytest.param("RK5", 5, id="RK5 30 A: falls back to the assumed value"),
        pytest.param("RK1", 5, id="RK1 is read as RK5"),
    ],
)
def test_d20_other_fuse_class(fitted: str, kiloamperes: int) -> None:
    condition = {"device": "fuse", "fuse_classes": ["J"], "max_ampere_rating": "30 A"}
    contactor = unmarked("Q1", "contactor", "F1", short_circuit_ratings=marked("100 kA", protected_by=condition))
    document = panel(fuse("F1", "S", fitted, "30 A"), contactor)
    assert largest_survived(document) == kiloamperes * KA


@pytest.mark.parametrize(("power", "kiloamperes"), [("5 hp", 5), ("75 hp", 10), ("250 hp", 18)])
def test_d18_unmarked_starter(power: str, kiloamperes: int) -> None:
    starter = unmarked("Q1", "motor_starter", "F1", horsepower=power)
    assert largest_survived(panel(fuse("F1", "S", "J", "400 A"), starter)) == kiloamperes * KA


def behind_transformer(primary: dict[str, Any], kva: str, secondary: str, current: str) -> dict[str, Any]:
    """A single-phase transformer with a breaker and a receptacle of this current behind."""
    at = {"voltage": secondary, "current": current}
    return panel(
        primary,
        unmarked("T1", "transformer", "F1", phases=1, transformer={"kva": kva, "secondary": secondary}),
        unmarked("Q1", "circuit_breaker", "T1", interrupting_ratings=[at]),
        unmarked("X1", "receptacle", "Q1", short_circuit_ratings=[at]),
    )


def test_d12_ten_kva_transformer() -> None:
    primary = fuse("F1", "S", "J", "30 A")
    assert largest_survived(behind_transformer(primary, "10 kVA", "240 V", "5 kA")) == 200 * KA
    assert largest_survived(behind_transformer(primary, "11 kVA", "240 V", "5 kA")) == 5 * KA


def test_d14_five_kva_transformer_to_120_volts() -> None:
    primary = breaker("F1", "S", "14 kA")
    assert largest_survived(behind_transformer(primary, "5 kVA", "120 V", "2 kA")) == 14 * KA
    assert largest_survived(behind_transformer(primary, "5 kVA", "240 V", "2 kA")) == 2 * KA


def test_control_transformer_is_not_asked() -> None:
    """Rulebook section 4: only the OCPD that taps the power counts."""
    document = panel(
        breaker("Q0", "S", "65 kA"),
        breaker("F1", "Q0", "22 kA", circuit="control"),
        unmarked("T1", "transformer", "F1", circuit="control", transformer={"secondary": "24 V"}),
        unmarked("F2", "supplementary_protector", "T1", circuit="control"),
    )
    assert largest_survived(document) == 22 * KA
    power = breaker("Q1", "Q0", "42 kA")
    assert largest_survived({**document, "components": [*document["components"], power]}) == 22 * KA


@pytest.mark.parametrize(
    ("document", "reason"),
    [
        (panel(part("Q1", "contactor", "S", "65 kA")), "Q1: no OCPD"),
        (
            panel(unmarked("F1", "supplementary_protector", "S")),
            "F1: only a supplementary protector",
        ),
        (
            panel(unmarked("M1", "motor", "F1"), fuse("F1", "S", "miniature", "10 A")),
            "F1: no rating",
        ),
        (panel(breaker("Q1", "S", "65 kA"), voltage="600 V"), "Q1: no rating that may be used"),
        (panel(breaker("Q1", "S", "65 kA", poles=1)), "Q1: a single pole from line to line"),
        (panel(unmarked("M1", "motor", "S", location="field")), "no rating needed"),
    ],
)
def test_withheld(document: dict[str, Any], reason: str) -> None:
    assert any(said.startswith(reason) for said in withheld(document))
    assert largest_survived(document) is None


def test_upstream_protection_caps_what_relies_on_it() -> None:
    """F8: class J 60 A ahead of the panel, IR 50 kA, lets 8 kA through."""
    ahead: dict[str, Any] = {"device": "fuse", "fuse_class": "J", "ampere_rating": "60 A"}
    ahead["interrupting_ratings"] = [{"voltage": "600 V", "current": "50 kA"}]
    parts = [fuse("F1", "S", "J", "30 A"), part("Q1", "contactor", "F1", "8 kA")]
    assert largest_survived(panel(*parts)) == 8 * KA
    assert largest_survived(panel(*parts, upstream_protection=ahead)) == 50 * KA
    alone = part("Q1", "contactor", "S", "65 kA")
    assert largest_survived(panel(alone, upstream_protection=ahead)) == 50 * KA
