"""The derivation: numbered steps that cite their clause, what is known from memory, and what UL 508A does otherwise."""

from sccr.result import Step
from tests.iec61439.drawing import Document
from tests.iec61439.drawing import behind_gg
from tests.iec61439.drawing import breaker
from tests.iec61439.drawing import contactor
from tests.iec61439.drawing import fuse
from tests.iec61439.drawing import motor
from tests.iec61439.drawing import panel
from tests.iec61439.drawing import part
from tests.iec61439.drawing import rated
from tests.iec61439.drawing import short_time
from tests.iec61439.drawing import transformer

STARTER = (fuse("F1"), contactor("K1", "F1", behind_gg("50 kA", coordination=2)), motor("M1", "K1"))


def step(document: Document, component: str | None, start: str = "") -> Step:
    found = (s for s in rated(document).derivation if s.component == component)
    return next(s for s in found if s.statement.startswith(start))


def test_the_steps_are_numbered_through() -> None:
    steps = rated(panel(*STARTER)).derivation

    assert [each.number for each in steps] == list(range(1, len(steps) + 1))


def test_a_step_cites_its_clause_says_what_is_from_memory_and_how_ul_508a_differs() -> None:
    found = step(panel(*STARTER), "K1")

    assert found.clause == "IEC 61439-1 9.3.2"
    assert found.statement.startswith("W1: conditional current 50 kA at 400 V with F1")
    assert "; UL 508A: a short-circuit current rating counts" in found.statement
    assert found.statement.endswith(" [clause from memory]")
    assert (found.after, found.basis) == (50_000_000, "tested combination")


def test_the_factors_of_table_7_are_not_from_memory() -> None:
    found = step(panel(*STARTER), None, "Ipk")

    assert "2.1 × 50 kA = 105 kA" in found.statement
    assert "from memory" not in found.statement


def test_a_transformer_is_told_winding_by_winding() -> None:
    nameplate = transformer("T1", "Q1", "20 kVA", ["230 V", "115 V"], phases=1, impedance="3 %")
    secondary = (breaker("Q2", "T1/1", "3.6 kA"), breaker("Q3", "T1/2", "6 kA"))
    steps = [s for s in rated(panel(breaker("Q1"), nameplate, *secondary)).derivation if s.basis == "transformer"]

    assert [(s.statement[:9], s.before, s.after) for s in steps] == [
        ("T1: T1/1 ", 3_600_000, None),
        ("T2: T1/2 ", 6_000_000, 1_725_000),
    ]


def test_the_options_that_are_on_are_told_first() -> None:
    options = {"skilled_persons_only": True, "coordination": 2}
    steps = rated(panel(*STARTER, options=options)).derivation

    assert [s.statement.split(" is ")[0] for s in steps[:2]] == ["option skilled_persons_only", "option coordination"]
    assert rated(panel(*STARTER, options=options)).options == {
        "service_breaking_capacity": False,
        "skilled_persons_only": True,
        "coordination": 2,
    }


def test_what_rests_on_what_makes_the_symbol() -> None:
    main = part("disconnect_switch", "Q0", short_time_ratings=[short_time("12 kA")])

    assert "conditional, Icc" in step(panel(*STARTER), None, "every part").statement
    assert "Icw, for 1 s" in step(panel(main, breaker("Q1", "Q0")), None, "a part").statement


def test_the_short_derivation_keeps_what_the_marking_rests_on() -> None:
    rating = rated(panel(*STARTER, breaker("Q9", current="80 kA")))
    short = rating.steps("short")

    assert {s.component for s in short if s.component} == {"K1", "F1"}


def test_the_circuits_have_their_own_ratings() -> None:
    found = {c.id: c.rating for c in rated(panel(*STARTER, breaker("Q9", current="36 kA"))).circuits}

    assert found == {"F1": 50_000_000, "Q9": 36_000_000}
