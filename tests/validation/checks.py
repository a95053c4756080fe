"""Which tests check the job against what: read from `sources.csv`, run, counted, and written as a document."""

import ast
import csv
import subprocess
import sys
import xml.etree.ElementTree as ElementTree
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

ROOT: Final = Path(__file__).parents[2]
DOCUMENT: Final = ROOT / "docs" / "validation.md"
#: What each kind of check is, in the order of their weight.
KINDS: Final = {
    "published": "against cases in print",
    "library": "against a general-purpose library of others",
    "independent": "against a second way, written without sight of the first",
    "clause": "clause by clause, from the rules in our own words",
    "by hand": "against values worked by hand",
    "property": "what must hold of every input",
    "kept": "against what was answered before",
}


@dataclass(frozen=True, slots=True)
class Check:
    """A module of tests, and what it holds the job against."""

    tests: str
    kind: str
    against: str
    what: str


def checks() -> list[Check]:
    """Return the checks as they are listed, by kind."""
    with (Path(__file__).parent / "sources.csv").open(encoding="utf-8", newline="") as lines:
        found = [Check(**row) for row in csv.DictReader(lines)]
    return sorted(found, key=lambda check: list(KINDS).index(check.kind))


def outcomes(listed: list[Check], workers: str) -> dict[str, Counter[str]]:
    """Run the listed tests; return for each module how many passed, failed and were skipped."""
    with TemporaryDirectory() as folder:
        report = Path(folder) / "report.xml"
        paths = [check.tests for check in listed]
        command = [
            sys.executable,
            "-m",
            "pytest",
            "-q",
            "-n",
            workers,
            "-o",
            "junit_family=xunit1",
            f"--junitxml={report}",
        ]
        subprocess.run([*command, *paths], cwd=ROOT, check=False)
        cases = list(ElementTree.parse(report).iter("testcase"))  # our own file, just written
    found: dict[str, Counter[str]] = {path: Counter() for path in paths}
    for case in cases:
        wrong = {child.tag for child in case}
        outcome = "failed" if wrong & {"failure", "error"} else "skipped" if "skipped" in wrong else "passed"
        found[case.attrib["file"]][outcome] += 1
    return found


def document(listed: list[Check], found: dict[str, Counter[str]], version: str) -> str:
    """Return the document: what was checked against which source, with which result."""
    lines = [
        "# What was checked against what",
        "",
        f"Written by `python -m tests.validation` from a run of the tests with engine {version}; not by hand.",
        "A test counts once, however many panels it rates; `python -m tests.trust` counts those. The engine remains",
        "a design aid: what is checked here are the rules as this project read them, and the marking of a panel stays",
        "its manufacturer's responsibility.",
    ]
    for kind, words in KINDS.items():
        lines += ["", f"## {words[0].upper()}{words[1:]}", ""]
        lines += ["| what | against | passed | failed | skipped | tests |", "| --- | --- | ---: | ---: | ---: | --- |"]
        for check in (check for check in listed if check.kind == kind):
            counted = found[check.tests]
            numbers = " | ".join(str(counted[outcome]) for outcome in ("passed", "failed", "skipped"))
            lines.append(f"| {check.what} | {check.against} | {numbers} | `{check.tests}` |")
    lines += ["", "## Cases in print", "", *_cases(listed)]
    return "\n".join(lines) + "\n"


def _cases(listed: list[Check]) -> list[str]:
    """Return what each published case says of itself, a line a test."""
    lines = []
    for check in (check for check in listed if check.kind == "published"):
        tree = ast.parse((ROOT / check.tests).read_text("utf-8"))
        for function in (node for node in tree.body if isinstance(node, ast.FunctionDef)):
            said = ast.get_docstring(function) if function.name.startswith("test_") else None
            if said:
                lines.append(f"- {function.name.removeprefix('test_').replace('_', ' ')}: {' '.join(said.split())}")
    return lines
