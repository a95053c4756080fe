"""What a change makes of the fleet, for a terminal: the worst first."""

from collections.abc import Iterable
from collections.abc import Mapping
from itertools import groupby
from itertools import islice
from typing import Any

from ..fleet.words import adequacy
from ..fleet.words import heading
from ..fleet.words import holding
from ..fleet.words import marking
from .printed import Page

Json = Mapping[str, Any]


def fleet_text(summary: Json, impacts: Iterable[Json], width: int, colour: bool, most: int) -> str:
    """Return the summary of a run and its first `most` impacts, class by class."""
    page = Page(width, colour)
    counts = summary["counts"]
    for line in _summary(summary):
        page.line(line)
    shown = islice(impacts, most)
    for (outcome, shipped), some in groupby(shown, lambda each: (each["outcome"], each["shipped_at"] is not None)):
        page.section(heading(outcome, shipped))
        page.table(("order", "panel", "rev", "marked", "now", "because"), [_row(each) for each in some], whole=("rev",))
    if counts["changed"] > most:
        page.line()
        page.line(f"and {counts['changed'] - most} more, none of them worse; --format csv has them all")
    return page.text


def _summary(summary: Json) -> Iterable[str]:
    counts = summary["counts"]
    scope = "all of them rated again" if summary["scope"] == "all" else f"{counts['rated']} of them rated again"
    yield f"FLEET  {_panels(counts['stored'])} stored, {counts['touched']} touched, {scope}"
    yield f"  by       {_catalogue(summary)}; engine {summary['engine_version']}{_engine(summary)}"
    told = ", ".join(f"{counts[name]} {words}" for name, words in _COUNTED.items() if counts[name])
    yield f"  changed  {counts['changed']}" + (f": {told}" if told else "")
    if counts["shipped_failing"]:
        yield f"  !!  {_panels(counts['shipped_failing'])} SHIPPED cannot stand as marked"
    elif counts["shipped_changed"]:
        yield f"  ok  {_panels(counts['shipped_changed'])} shipped changed, and none of them fails"
    else:
        yield "  ok  nothing that was shipped changes"


_COUNTED = {
    "refused": "no longer ratable",
    "unknown": "not known",
    "withheld": "withheld",
    "below_available": "below the available current",
    "lowered": "lowered",
    "otherwise": "otherwise",
    "raised": "raised",
}


def _catalogue(summary: Json) -> str:
    version = summary["catalogue_version"]
    stored = "no stored catalogue" if version is None else f"catalogue version {version}"
    changed, removed = summary["parts_changed"], summary["parts_removed"]
    differing = [f"{changed} of its parts changed or added"] if changed else []
    differing += [f"{removed} gone"] if removed else []
    return f"{stored} with {' and '.join(differing)}" if differing else stored


def _engine(summary: Json) -> str:
    return ", by another one or other tables were panels rated before: all of these are touched" * bool(
        summary["engine_changed"]
    )


def _row(told: Json) -> tuple[str, ...]:
    because = [*map(adequacy, told["supplies"]), *map(holding, told["limited_by"])]
    return (
        told["order"],
        told["designation"],
        str(told["revision"]),
        marking(told["before"]),
        marking(told["after"]),
        "\n".join(because or told["why"]),
    )


def _panels(count: int) -> str:
    return "1 panel" if count == 1 else f"{count} panels"
