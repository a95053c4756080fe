"""An impact in words and in cells, as an order desk reads it."""

import csv
import re
from collections.abc import Iterable
from collections.abc import Iterator
from collections.abc import Mapping
from io import StringIO
from typing import Any
from typing import Final

from sccr.schema.exchange.guard import as_json
from sccr.schema.exchange.guard import guarded
from sccr.schema.exchange.guard import is_plain
from sccr.schema.exchange.guard import without_parting
from sccr.units import AMPERE
from sccr.units import current_text

Json = Mapping[str, Any]

#: What each outcome is called, by the words of the contract.
HEADINGS: Final = {
    "refused": "can no longer be rated",
    "unknown": "could not be rated",
    "withheld": "no rating may be marked any more",
    "below_available": "below the available fault current now",
    "lowered": "marked higher than is so now",
    "otherwise": "marked otherwise than is so now",
    "raised": "worth more than is marked",
}
_COLUMNS: Final = (
    *("order", "panel", "revision", "shipped", "outcome", "marked", "now", "adequate before", "adequate now"),
    *("available", "margin A", "limited by", "part", "because", "changed parts", "why", "record"),
)
_KNOWN: Final = {True: "yes", False: "no", None: ""}
_BETWEEN: Final = " | "
_NUMBER: Final = re.compile(r"-?[0-9]+(\.[0-9]+)?")


def heading(outcome: str, shipped: bool) -> str:
    """Return the heading of a class of panels."""
    return f"{'Shipped' if shipped else 'Not shipped'}: {HEADINGS[outcome]}"


def marking(told: Json) -> str:
    """Return a marking as lists show it: "22 kA, 480Y/277 V"."""
    rating = told["rating"]
    return told["status"] if rating is None else f"{rating['current']}, {rating['voltage']}"


def available(supply: Json) -> str:
    """Return what is available at a supply: "MAINS 12 kA"."""
    return f"{supply['supply']} {supply['available']['current']}"


def adequacy(supply: Json) -> str:
    """Return whether the current available at a supply was covered, and is now, and by how much."""
    now = "covered" if supply["adequate_after"] else "NOT covered"
    margin = supply["margin_amperes"]
    if margin is not None and margin < 0:
        now += f", short by {current_text(round(-margin * AMPERE))}"
    elif margin is not None and not supply["adequate_after"]:
        now += " for its X/R"
    was = {True: "covered", False: "not covered", None: "not known"}[supply["adequate_before"]]
    return f"{available(supply)}: {was}, now {now}"


def holding(limit: Json) -> str:
    """Return what holds a panel: "-QA1 (MILLET-C9): marked 5 kA at 480 V"."""
    part = f" ({limit['part']})" if limit["part"] else ""
    return f"{limit['component'] or 'the panel'}{part}: {limit['reason']}"


def csv_lines(impacts: Iterable[Json]) -> Iterator[str]:
    """Yield the lines of a CSV file (RFC 4180) of impacts, of which no spreadsheet takes a cell for a formula."""
    yield "\ufeff" + _line(_COLUMNS)  # the mark by which a spreadsheet knows UTF-8
    for each in impacts:
        yield _line(_cells(each))


def _cells(told: Json) -> Iterator[str]:
    supplies, limits = told["supplies"], told["limited_by"]
    margins = [supply["margin_amperes"] for supply in supplies if supply["margin_amperes"] is not None]
    yield from (told["order"], told["designation"], str(told["revision"]), told["shipped_at"] or "", told["outcome"])
    yield from (marking(told["before"]), marking(told["after"]))
    yield from (_KNOWN[told["before"]["adequate"]], _KNOWN[told["after"]["adequate"]])
    yield _BETWEEN.join(map(available, supplies))
    yield str(min(margins)) if margins else ""
    yield _BETWEEN.join(limit["component"] or "" for limit in limits)
    yield _BETWEEN.join(limit["part"] or "" for limit in limits)
    yield _BETWEEN.join(limit["reason"] for limit in limits)
    yield from (_BETWEEN.join(told["changed_parts"]), _BETWEEN.join(told["why"]), told["record"])


def _line(cells: Iterable[str]) -> str:
    stream = StringIO(newline="")
    csv.writer(stream, lineterminator="\r\n").writerow([_guarded(cell) for cell in cells])
    return stream.getvalue()


def _guarded(text: str) -> str:
    """Return the text of a cell; a number below zero is no formula."""
    if _NUMBER.fullmatch(text):
        return text
    return guarded(text) if is_plain(text) else without_parting(as_json(text))
