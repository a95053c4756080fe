"""The rules of the house that a program can hold."""

import ast
import csv
import subprocess
import sys
from pathlib import Path

import pytest

from sccr.ul508a.tables import FILES
from sccr.ul508a.tables import tables

ROOT = Path(__file__).parent.parent
SOURCES = sorted((ROOT / "sccr").rglob("*.py"))
RULES = sorted((ROOT / "sccr/ul508a/rules").glob("*.py"))
#: Held back: a function longer than this does not fit on a screen.
LONGEST_FUNCTION = 40
LONGEST_MODULE = 300


@pytest.mark.parametrize("rule", [r for r in RULES if r.stem != "__init__"], ids=lambda path: path.stem)
def test_every_rule_module_has_its_test_module(rule: Path) -> None:
    assert (ROOT / "tests/ul508a/rules" / f"test_{rule.name}").exists()


@pytest.mark.parametrize("name", [*FILES])
def test_every_row_of_a_table_names_its_confidence_and_source(name: str) -> None:
    rows = list(csv.DictReader((ROOT / f"sccr/ul508a/tables/{name}.csv").read_text("utf-8").splitlines()))

    assert rows
    assert all(row["confidence"] in {"A", "B", "C", "D"} for row in rows)
    assert all(row.get("source", row.get("note")) is not None for row in rows)
    assert None not in {value for row in rows for value in row.values()}


def test_the_clauses_cited_are_those_listed() -> None:
    assert set(tables().clauses) == {"SB4.1", "SB4.2", "SB4.3.1", "SB4.3.2", "SB4.3.3", "SB4.4"}


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_functions_fit_on_a_screen(path: Path) -> None:
    text = path.read_text("utf-8")
    functions = [n for n in ast.walk(ast.parse(text)) if isinstance(n, ast.FunctionDef)]
    long = {f.name: f.end_lineno - f.lineno + 1 for f in functions if f.end_lineno - f.lineno >= LONGEST_FUNCTION}

    assert not long
    assert len(text.splitlines()) <= LONGEST_MODULE


def test_the_engine_opens_nothing_but_its_own_tables() -> None:
    banned = {"open", "requests", "socket", "environ", "now", "print"}
    for path in SOURCES:
        names = {
            n.func.id
            for n in ast.walk(ast.parse(path.read_text("utf-8")))
            if isinstance(n, ast.Call) and isinstance(n.func, ast.Name)
        }
        assert not names & banned, path


def test_rating_from_a_script_pulls_in_no_web_framework() -> None:
    program = (
        "import sys, sccr; print(sorted({'flask', 'werkzeug', 'sqlalchemy', 'requests', 'rich'} & set(sys.modules)))"
    )
    found = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True, cwd=ROOT)

    assert found.stdout.strip() == "[]"


def test_import_contracts_hold() -> None:
    lint = Path(sys.executable).parent / "lint-imports"
    found = subprocess.run([str(lint), "--no-cache"], capture_output=True, text=True, cwd=ROOT, check=False)

    assert found.returncode == 0, found.stdout
