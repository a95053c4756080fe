"""Upgrade plans for the largest demo panel: found, proved optimal and rated again, as a caller waits for them."""

import json
from collections.abc import Callable
from pathlib import Path
from time import perf_counter
from time import process_time
from typing import Any

from rich.console import Console
from rich.table import Table

import sccr
from sccr.units import current_text
from sccr.upgrade import plan
from sccr.upgrade import staircase
from sccr.upgrade.planning import LEVELS

FIXTURES = Path(__file__).parents[2] / "fixtures"
KA = 1_000_000
ROUNDS = 5
#: Seconds for one plan, proved optimal.
TARGET = 2.0


def upgrade_plans(console: Console) -> None:
    """Print how long plans for the demo line take [s], the best and the worst of several rounds, beside the target."""
    line = json.loads((FIXTURES / "panels/whole_line.json").read_bytes())
    parts = sccr.Catalogue.from_document((FIXTURES / "catalogue/grain.json").read_bytes())
    title = f"plans for {len(line['components'])} components from {len(parts.parts)} parts"
    table = Table(title, "cost", "proved", "CPU s", "wall s", "worst wall s", "target s")
    for objective in ("price", "changes", "labour"):
        _row(table, f"to 65 kA by {objective}", TARGET, lambda o=objective: [_alone(line, parts, o)])
    _row(table, "to 65 kA by price, and the 2 next best", TARGET, lambda: [plan(line, parts, 65 * KA)])
    for objective in ("price", "changes", "labour"):
        steps = ", ".join(current_text(level) for level in LEVELS)
        _row(table, f"{steps} by {objective}", len(LEVELS) * TARGET, lambda o=objective: _steps(line, parts, o))
    console.print(table)


def _alone(line: dict[str, Any], parts: sccr.Catalogue, objective: str) -> Any:
    return plan(line, parts, 65 * KA, objective=objective, alternatives=0)


def _steps(line: dict[str, Any], parts: sccr.Catalogue, objective: str) -> list[Any]:
    return [*staircase(line, parts, objective=objective)]


def _row(table: Table, name: str, target: float, action: Callable[[], list[Any]]) -> None:
    found = action()  # warms up
    cpu, wall = [], []
    for _ in range(ROUNDS):
        start, worked = perf_counter(), process_time()
        action()
        wall.append(perf_counter() - start)
        cpu.append(process_time() - worked)
    late = "" if max(wall) < target else "bold red"
    proved = "yes" if all(each.proved for each in found) else "NO"
    costs = ", ".join("none" if each.best is None else f"{each.best.cost:f}" for each in found)
    table.add_row(name, costs, proved, *(f"{t:.2f}" for t in (min(cpu), min(wall), max(wall), target)), style=late)
