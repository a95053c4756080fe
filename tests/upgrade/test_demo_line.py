"""The largest demo panel with the demo catalogue: what each step up costs, by each objective."""

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

import sccr
from sccr.upgrade import UpgradePlan
from sccr.upgrade import plan
from sccr.upgrade import staircase

FIXTURES = Path(__file__).parents[2] / "fixtures"
KA = 1_000_000
#: Price of the plan, number of changes by the objective changes, hours by the objective labour.
STEPS = {
    22: ("322.00", "5", "2.5"),
    35: ("361.00", "5", "2.5"),
    65: ("2627.00", "17", "8.3"),
    100: ("7480.00", "27", "15.7"),
}


@pytest.fixture(scope="module")
def line() -> dict[str, Any]:
    found: dict[str, Any] = json.loads((FIXTURES / "panels/whole_line.json").read_bytes())
    return found


@pytest.fixture(scope="module")
def parts() -> sccr.Catalogue:
    return sccr.Catalogue.from_document((FIXTURES / "catalogue/grain.json").read_bytes())


def after(found: UpgradePlan) -> dict[str, str]:
    assert found.best is not None
    return {change.component: change.after for change in found.best.changes}


@pytest.mark.parametrize(("objective", "column"), [("price", 0), ("changes", 1), ("labour", 2)])
def test_every_step_is_reached_and_proved(line: Any, parts: sccr.Catalogue, objective: str, column: int) -> None:
    found = staircase(line, parts, objective=objective)

    assert {f.target // KA: f.best.cost for f in found} == {level: Decimal(c[column]) for level, c in STEPS.items()}
    for step in found:
        assert step.proved and step.gap == 0
        again = sccr.rate(step.best.document, parts)
        assert again == step.best.rating and again.rating.current >= step.target


def test_the_relay_that_holds_the_line_down_needs_the_tested_breaker(line: Any, parts: sccr.Catalogue) -> None:
    """To the order's target of 14 kA: -BC5 and -QA5 were tested with OAT-3P-60H (whole_line.md, last paragraph)."""
    assert after(plan(line, parts)) == {"-FC5": "OAT-3P-60H"}


def test_a_fuse_and_its_holder_in_place_of_a_contactor(line: Any, parts: sccr.Catalogue) -> None:
    """To 35 kA -QA33 (30 kA) is in the way: two class CC fuses of 30 A let 6 kA through, with holder 39 against 168."""
    found = plan(line, parts, 35 * KA)
    new = {change.component: change.after for change in found.best.changes if change.action == "add"}

    assert sorted(new.values()) == ["PEA-CC-30", "POD-CC-2P"]
    assert sum(change.price for change in found.best.changes if change.action == "add") == 39
    document = json.loads((FIXTURES / "catalogue/grain.json").read_bytes())
    dearer = [{**part, "price": "300"} if part["kind"] == "fuseholder" else part for part in document["parts"]]
    found = plan(line, sccr.Catalogue.from_document({**document, "parts": dearer}), 35 * KA)

    assert after(found)["-QA33"] == "BEAN-20H"


def test_a_large_fuse_in_place_of_four_parts_by_number_only(line: Any, parts: sccr.Catalogue) -> None:
    """To 100 kA: class J of 400 A lets 30 kA through, which four parts withstand; by price they are cheaper changed."""
    by_number, by_price = (after(plan(line, parts, 100 * KA, objective=o)) for o in ("changes", "price"))
    four = {"-QA14", "-QA15", "-QA16", "-QA17"}

    assert {"POD-J-400", "PEA-J-400"} <= set(by_number.values()) and not four & by_number.keys()
    assert four <= by_price.keys() and "PEA-J-400" not in by_price.values()


def test_without_its_high_parts_the_catalogue_is_told_to_lack_them(line: Any) -> None:
    document = json.loads((FIXTURES / "catalogue/grain.json").read_bytes())
    fewer = [part for part in document["parts"] if part["part"] not in ("SOY-80H", "TEFF-10SH")]
    found = plan(line, sccr.Catalogue.from_document({**document, "parts": fewer}), 65 * KA)

    assert found.best is None and found.proved
    assert {block.component for block in found.blocked} == {"-BC9", "-QA13"}
