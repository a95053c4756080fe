"""A fault current in words, the same for a terminal and for Markdown: from the answer in JSON, to lines and rows."""

from collections.abc import Iterator
from collections.abc import Mapping
from typing import Any
from typing import Final

Json = Mapping[str, Any]

COLUMNS: Final = ("at", "fault", "maximum", "X/R", "peak", "asym.", "minimum", "scalar")
#: Of the columns, those that hold words.
TEXTS: Final = 2
LEGEND: Final = (
    "In amperes. Maximum and minimum are rms symmetrical: the maximum rounded up to whole amperes, the minimum down.",
    "Peak (by the factor of IEC 60909-0) and asym. (asymmetrical rms, half a cycle on) go with the maximum.",
    "Scalar is the point-to-point cross-check of the maximum, without motors: it reads low, and is no basis for it.",
)
CAUTION: Final = (
    "This is a design aid. Verify what is upstream with the utility before anything relies on these currents."
)

_FAULTS: Final = {"three_phase": "3-phase", "line_line": "L-L", "line_neutral": "L-N", "line_ground": "L-G"}
_METHODS: Final = {"ohmic": "ohmic, vector sum, c = 1", "iec_60909": "IEC 60909-0"}
_NONE: Final = "-"


def headline(answer: Json) -> str:
    """Return the result in one line: the value that ratings are held against, or that there is none."""
    if answer["available_fault_current"] is None:
        return "NOT ESTABLISHED  an error finding stands against it"
    return f"AVAILABLE  {answer['text']}, rounded up to whole amperes"


def facts(answer: Json) -> Iterator[tuple[str, str]]:
    """Yield what belongs to the result, each with its name."""
    if answer["fault"] is not None:
        yield "fault", f"{fault(answer['fault'])}, X/R {_ratio(answer['x_over_r'])}"
    least = answer["minimum_fault_current"]
    yield "minimum", "not known" if least is None else f"{least['current']} rms symmetrical, rounded down"
    if answer["states"]:
        yield "governed by", answer["governing_state"]
    method = answer["method"]
    yield "method", f"{_METHODS[method['method']]}, {method['frequency']}; engine {method['engine_version']}"


def states(answer: Json) -> Iterator[tuple[str, Json]]:
    """Yield the states of what is upstream with their nodes, each under its heading; the one that governs first."""
    heading = "Fault currents from the utility to the supply terminals"
    if not answer["states"]:
        yield heading, answer
        return
    first = answer["governing_state"]
    for state in sorted(answer["states"], key=lambda each: bool(each["name"] != first)):
        yield f"{heading}: {state['name']}{' (governs)' if state['name'] == first else ''}", state


def rows(nodes: Json) -> Iterator[tuple[str, ...]]:
    """Yield the rows of the table: at each node a line for each kind of fault, the first two with what it is."""
    for node in nodes["nodes"]:
        yield from _rows(node)


def _rows(node: Json) -> Iterator[tuple[str, ...]]:
    least = {value["fault"]: value for value in node["minimum"]}
    behind = "" if node["behind"] in node["bus"] else f", behind {node['behind']}"
    places = iter((node["bus"], f"  {node['voltage']}{behind}"))
    line = "line_line" if node["phases"] == 1 else "three_phase"
    if not node["maximum"]:
        yield (next(places), "infinite", *[_NONE] * (len(COLUMNS) - TEXTS))
        yield (next(places), *[""] * (len(COLUMNS) - 1))
    for value in node["maximum"]:
        scalar = node["point_to_point"] if value["fault"] == line else None
        yield (next(places, ""), *_values(value, least.get(value["fault"])), _amperes(scalar))


def finding(each: Json) -> str:
    """Return a finding with what it is about."""
    return f"{each['element']}: {each['message']}" if each["element"] else str(each["message"])


def fault(name: str) -> str:
    """Return a kind of fault as it is said.

    >>> fault("three_phase"), fault("line_ground")
    ('three-phase', 'line-to-ground')
    """
    return name.replace("_", "-" if name == "three_phase" else "-to-")


def _values(value: Json, least: Json | None) -> tuple[str, ...]:
    return (
        _FAULTS[value["fault"]],
        _amperes(value["rms_symmetrical"]),
        _ratio(value["x_over_r"]),
        _amperes(value["peak"]),
        _amperes(value["rms_asymmetrical"]),
        _amperes(None if least is None else least["rms_symmetrical"]),
    )


def _amperes(current: Json | None) -> str:
    """Return a current in whole amperes, which is how it was rounded."""
    return _NONE if current is None else f"{current['current_amperes']:,}".replace(",", " ")


def _ratio(x_over_r: float | None) -> str:
    return "no R" if x_over_r is None else f"{x_over_r:.2f}"
