"""A fault current for a terminal."""

from collections.abc import Mapping
from typing import Any

from . import fault_words as words
from .printed import Page


def fault_text(answer: Mapping[str, Any], width: int, colour: bool, derivation: bool) -> str:
    """Return a fault current, as `FaultCurrent.as_dict()` has it, as lines for a terminal of `width` columns."""
    page = Page(width, colour)
    if answer["title"]:
        page.line(answer["title"], "bold")
    page.line(words.headline(answer), "bold green" if answer["available_fault_current"] else "bold red")
    page.pairs(words.facts(answer))
    for heading, state in words.states(answer):
        page.section(heading)
        page.table(words.COLUMNS, words.rows(state), numbers=words.COLUMNS[words.TEXTS :])
    page.items(words.LEGEND, "dim")
    if answer["findings"]:
        page.section("Findings")
        page.findings(answer["findings"], map(words.finding, answer["findings"]))
    if derivation:
        page.section("Derivation")
        lines = ((str(e["number"]), e["element"], e["statement"], e["reference"]) for e in answer["derivation"])
        page.table(("no.", "element", "statement", "by"), lines)
    page.line()
    page.line(words.CAUTION, "dim")
    return page.text
