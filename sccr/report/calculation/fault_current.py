"""The dated record of a fault current that was computed, a section for each supply that has a source."""

from collections.abc import Iterator
from collections.abc import Mapping
from collections.abc import Sequence
from itertools import groupby
from operator import itemgetter
from typing import Any
from typing import Final

from sccr.adequacy import AvailableFaultCurrent
from sccr.report.calculation.blocks import NOTHING
from sccr.report.calculation.blocks import Block
from sccr.report.calculation.blocks import Column
from sccr.report.calculation.blocks import Facts
from sccr.report.calculation.blocks import Section
from sccr.report.calculation.blocks import Sentences
from sccr.report.calculation.blocks import Signatures
from sccr.report.calculation.blocks import Table
from sccr.report.words import title
from sccr.result import Rating
from sccr.units import current_text

Json = Mapping[str, Any]

NOT_DATED: Final = "not stated: to be written in where this is signed"
CALCULATORS: Final = ("Calculated by", "Checked by")
_HIGHEST: Final = "In bold: the supply terminals. Currents are rms symmetrical, rounded up; the least is rounded down."

_NODES: Final = (
    Column("at", 1.5),
    Column("voltage", 1.05),
    Column("three phase", 0.95),
    Column("line to line", 0.95),
    Column("line to neutral", 0.95),
    Column("line to ground", 0.95),
    Column("X/R", 0.55),
    Column("peak", 0.95),
    Column("asym. rms", 0.95),
    Column("least", 0.95),
)
_LINES: Final = (Column("element", 0.95), Column("what it brings", 6.05), Column("by", 1.65))
_FINDINGS: Final = (Column("severity", 0.6), Column("element", 0.95), Column("finding", 7.1))
_STATES: Final = (Column("state upstream", 3), Column("highest at the terminals", 2), Column("fault", 2))
_FAULTS: Final = ("three_phase", "line_line", "line_neutral", "line_ground")


def fault_current_sections(rating: Rating, asked_at: str | None) -> Iterator[Section]:
    """Yield the record of each supply whose current was computed; `asked_at`: when the rating was, ISO 8601."""
    for supply in rating.supplies:
        if supply.available is not None and supply.available.record is not None:
            blocks = tuple(_blocks(rating, supply.id, supply.available, supply.available.record, asked_at))
            yield Section(f"Available fault current at {supply.id}: record of the calculation", blocks, own_page=True)


def _blocks(
    rating: Rating, supply: str, available: AvailableFaultCurrent, record: Json, asked_at: str | None
) -> Iterator[Block]:
    yield Sentences((f"{'; '.join(record['basis'])}.",))
    yield Facts(tuple(_facts(rating, supply, available, record, asked_at)))
    yield Sentences((record["validity"], _HIGHEST))
    yield _nodes_table(record["nodes"])
    yield Signatures(CALCULATORS)  # with the values, however long what follows is
    yield _lines_table(record["derivation"])
    if record["states"]:
        yield Table(_STATES, tuple(_state(state) for state in record["states"]))
    if record["findings"]:
        yield _findings_table(record["findings"])


def _facts(
    rating: Rating, supply: str, available: AvailableFaultCurrent, record: Json, asked_at: str | None
) -> Iterator[tuple[str, str]]:
    yield "Panel", title(rating)
    yield "Supply", f"{supply}, {record['voltage']}"
    if record["title"]:
        yield "Upstream", record["title"]
    yield "Available fault current", record["text"]
    yield "Fault, X/R", f"{_words(record['fault'])}, {_ratio(record['x_over_r'])}"
    yield "Date of the calculation", _date(record["date"], asked_at)
    least = record["minimum_fault_current"]
    yield "Least fault current", "not known" if least is None else least["current"]
    if available.stated is not None:
        counts = f"the higher counts, {current_text(available.current)}"
        yield "Stated beside it", f"{current_text(available.stated)}; {counts}"
    method = record["method"]
    yield "Method", f"{_METHODS.get(method['method'], method['method'])}, {method['frequency']}"
    if record["states"]:
        yield "State that governs", record["governing_state"]
    yield "Engine, digest of its tables", f"{method['engine_version']}, {method['tables_digest']}"
    yield "Digest of the source", record["document_digest"] or NOTHING


_METHODS: Final = {"ohmic": "ohmic, vector sum, c = 1", "iec_60909": "IEC 60909-0"}


def _date(stated: str | None, asked_at: str | None) -> str:
    if stated is not None:
        return stated
    return NOT_DATED if asked_at is None else f"{asked_at[:10]}, when the rating was asked for"


def _words(name: str) -> str:
    return name.replace("_", "-" if name == "three_phase" else "-to-")


def _ratio(x_over_r: float | None) -> str:
    return "no resistance" if x_over_r is None else f"X/R {x_over_r:.2f}"


def _nodes_table(nodes: Sequence[Json]) -> Table:
    return Table(_NODES, tuple(_node(node) for node in nodes), frozenset([len(nodes) - 1]))


def _node(node: Json) -> tuple[str, ...]:
    faults = {value["fault"]: value for value in node["maximum"]}
    highest = _highest(node["maximum"])
    currents = [faults[name]["rms_symmetrical"]["current"] if name in faults else NOTHING for name in _FAULTS]
    least = min(node["minimum"], key=_amperes, default=None)
    behind = node["bus"] if node["behind"] in node["bus"] else f"{node['bus']}, behind {node['behind']}"
    return (
        behind,
        node["voltage"],
        *currents,
        NOTHING if highest is None or highest["x_over_r"] is None else f"{highest['x_over_r']:.2f}",
        NOTHING if highest is None else highest["peak"]["current"],
        NOTHING if highest is None else highest["rms_asymmetrical"]["current"],
        NOTHING if least is None else least["rms_symmetrical"]["current"],
    )


def _highest(values: Sequence[Json]) -> Json | None:
    return max(values, key=_amperes, default=None)


def _amperes(value: Json) -> float:
    found: float = value["rms_symmetrical"]["current_amperes"]
    return found


def _state(state: Json) -> tuple[str, str, str]:
    highest = _highest(state["nodes"][-1]["maximum"])
    if highest is None:
        return state["name"], NOTHING, NOTHING
    return state["name"], highest["rms_symmetrical"]["current"], _words(highest["fault"])


def _lines_table(lines: Sequence[Json]) -> Table:
    """Return the derivation, a row for each element with its impedance and what flows behind it."""
    rows = []
    for element, group in groupby(lines, key=itemgetter("element")):
        of_it = list(group)
        by = "; ".join(dict.fromkeys(line["reference"] for line in of_it))
        rows.append((element, "; ".join(line["statement"] for line in of_it), by))
    return Table(_LINES, tuple(rows))


def _findings_table(findings: Sequence[Json]) -> Table:
    return Table(_FINDINGS, tuple((f["severity"], f["element"] or NOTHING, f["message"]) for f in findings))
