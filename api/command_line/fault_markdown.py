"""A fault current as Markdown, and the dated record of it."""

import json
from collections.abc import Iterable
from collections.abc import Iterator
from collections.abc import Mapping
from collections.abc import Sequence
from typing import Any

from . import fault_words as words

Json = Mapping[str, Any]


def fault_markdown(answer: Json) -> str:
    """Return a fault current, as `FaultCurrent.as_dict()` has it, as Markdown (CommonMark with tables)."""
    return "\n".join([f"# {_plain(answer['title'] or 'Available fault current')}", "", *_result(answer)]) + "\n"


def record_markdown(record: Json) -> str:
    """Return the record of a calculation as Markdown: the date, what asks for it, the result, and what it is of."""
    lines = [
        f"# Record of the available fault current: {_plain(record['title'] or record['voltage'])}",
        *("", f"**Date of the calculation: {record['date']}**", "", *(f"- {_plain(each)}" for each in record["basis"])),
        *("", record["validity"], "", *_result(record)),
    ]
    if record.get("site"):
        written = json.dumps(record["site"], ensure_ascii=False, indent=2)
        lines += ["", "## What it was calculated from", "", "```json", written, "```"]
    lines += [
        "",
        f"_Digest of the site {record['document_digest']}, of the tables {record['method']['tables_digest']}_",
    ]
    return "\n".join(lines) + "\n"


def _result(answer: Json) -> Iterator[str]:
    yield f"**{words.headline(answer)}**"
    yield ""
    yield from (f"- {name}: {_plain(stated)}" for name, stated in words.facts(answer))
    for heading, state in words.states(answer):
        yield from ("", f"## {_plain(heading)}", "")
        yield from _table(words.COLUMNS, words.rows(state))
    yield ""
    yield from (f"- {line}" for line in words.LEGEND)
    if answer["findings"]:
        yield from ("", "## Findings", "")
        yield from (f"- {each['severity']}: {_plain(words.finding(each))}" for each in answer["findings"])
    yield from ("", "## Derivation", "")
    lines = ((str(e["number"]), e["element"], e["statement"], e["reference"]) for e in answer["derivation"])
    yield from _table(("no.", "element", "statement", "by"), lines)
    yield from ("", words.CAUTION)


def _table(columns: Sequence[str], rows: Iterable[Sequence[str]]) -> Iterator[str]:
    yield "| " + " | ".join(columns) + " |"
    yield "|" + " --- |" * len(columns)
    for row in rows:
        yield "| " + " | ".join(_plain(cell) for cell in row) + " |"


def _plain(text: str) -> str:
    """Return text that Markdown shows as it is."""
    return "".join(f"\\{c}" if c in "\\`*_[]<>|#" else c for c in text)
