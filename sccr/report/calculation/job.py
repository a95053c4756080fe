"""The job data: what the document says of the panel and of its supplies."""

from collections.abc import Iterator
from collections.abc import Mapping
from typing import Any
from typing import Final

from sccr.report.calculation.blocks import NOTHING
from sccr.report.calculation.blocks import Column
from sccr.report.calculation.blocks import Facts
from sccr.report.calculation.blocks import Table
from sccr.report.diagram.labels import kind_words
from sccr.report.wording import wording
from sccr.result import Rating

_IDENTITY: Final = (
    ("designation", "Panel"),
    ("title", "Title"),
    ("revision", "Revision"),
    ("drawing", "Drawing"),
    ("order", "Order"),
    ("builder", "Builder"),
    ("serial", "Serial number"),
    ("enclosure_type", ""),
)

_SUPPLY: Final = (
    Column("supply", 1.1),
    Column("voltage and system", 2.2),
    Column("phases, wires", 1.2),
    Column("frequency", 1.2),
    Column("full load", 1),
    Column("available fault current", 1.4),
    Column("date", 1.3),
    Column("protection upstream", 2),
)


def job_facts(rating: Rating) -> Facts:
    """Return what identifies the panel; what the document does not state is said to be missing."""
    words = wording(rating)
    labels = ((name, words.of(name) or label) for name, label in _IDENTITY)
    return Facts(tuple((label, rating.panel.get(name, "not stated")) for name, label in labels))


def supplies_table(document: Mapping[str, Any]) -> Table:
    """Return the supplies as the document states them."""
    return Table(_SUPPLY, tuple(tuple(_supply(supply)) for supply in document["supplies"]))


def _supply(supply: Mapping[str, Any]) -> Iterator[str]:
    yield supply["id"]
    yield f"{supply['voltage']}, {supply['system'].replace('_', ' ')}"
    counts = [_counted(supply[name], name) for name in ("phases", "wires") if name in supply]
    yield ", ".join(counts) or NOTHING
    yield supply.get("frequency", NOTHING)
    yield supply.get("full_load_current", NOTHING)
    yield _available(supply)
    yield supply.get("available_fault_current_date", NOTHING)
    yield _upstream(supply["upstream_protection"]) if "upstream_protection" in supply else NOTHING


def _counted(count: int, many: str) -> str:
    return f"{count} {many.removesuffix('s') if count == 1 else many}"


def _available(supply: Mapping[str, Any]) -> str:
    words = [supply["available_fault_current"]] if "available_fault_current" in supply else []
    words += ["from its source"] if "source" in supply else []
    return "; ".join(words) or "not stated"


def _upstream(device: Mapping[str, Any]) -> str:
    words = [kind_words(device["device"])]
    words += [f"class {device['fuse_class']}"] if "fuse_class" in device else []
    words += [device[name] for name in ("ampere_rating", "part") if name in device]
    words += [device["utilization_category"]] if "utilization_category" in device else []
    words += [f"{each['current']} at {each['voltage']}" for each in device.get("interrupting_ratings", ())]
    words += [_breaks(each) for each in device.get("breaking_capacities", ())]
    return ", ".join(words)


def _breaks(stated: Mapping[str, Any]) -> str:
    kind = "" if stated["kind"] == "fuse" else f"{stated['kind'].capitalize()} "
    return f"{kind}{stated['current']} at {stated['voltage']}"
