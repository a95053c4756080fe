"""Upgrade plans for a terminal."""

from collections.abc import Iterator
from collections.abc import Mapping
from decimal import Decimal
from typing import Any
from typing import Final

from .printed import Page

Json = Mapping[str, Any]

_COLUMNS: Final = ("", "place", "kind", "from", "to", "pcs", "price", "hours", "on hand")
_MOST_NAMED: Final = 6


def plan_text(answer: Json, width: int, colour: bool) -> str:
    """Return a plan, as `UpgradePlan.as_dict()` has it, as lines for a terminal of `width` columns."""
    page = Page(width, colour)
    head = f"To {answer['target']['current']} by {answer['objective']}"
    best = answer["best"]
    if best is None:
        page.line(f"{head}: {_no_plan(answer)}", "bold red")
        page.pairs((block["component"], block["reason"]) for block in answer["blocked"])
        return page.text
    page.line(f"{head}: {_cost(best, answer)}, {_proof(answer)}", "bold")
    if best["changes"]:
        page.table(
            _COLUMNS, map(_row, best["changes"]), numbers=("pcs", "price", "hours"), whole=("place", "from", "to")
        )
    else:
        page.items(["nothing need be changed"])
    page.items(_rated(best))
    if answer["alternatives"]:
        page.section("Next best")
        page.pairs(_alternative(other, best, answer) for other in answer["alternatives"])
    return page.text


def _no_plan(answer: Json) -> str:
    if answer["proved_optimal"]:
        return "out of reach with these parts"
    return "no plan was found in the time; give it more"


def _cost(plan: Json, answer: Json) -> str:
    cost = str(plan["cost"])
    one, several = {"price": ("", ""), "changes": (" change", " changes"), "labour": (" hour", " hours")}[
        answer["objective"]
    ]
    return cost + (one if cost == "1" else several)


def _proof(answer: Json) -> str:
    if answer["proved_optimal"]:
        return "proved the least"
    gap = "" if answer["gap"] is None else f", up to {Decimal(answer['gap']):.1%} dearer than it need be"
    return f"not proved the least: any plan costs at least {answer['lower_bound']}{gap}"


def _row(change: Json) -> tuple[str, ...]:
    return (
        change["action"],
        change["component"],
        change["kind"].replace("_", " "),
        change["before"] or "-",
        change["after"],
        str(change["quantity"]),
        change["price"] or "-",
        change["labour_hours"],
        "yes" if change["on_hand"] else "",
    )


def _rated(best: Json) -> Iterator[str]:
    hours = sum((Decimal(change["labour_hours"]) for change in best["changes"]), Decimal(0))
    if hours:
        yield f"{hours:f} hours of labour in all"
    held = [limit["component"] for limit in best["limited_by"]]
    more = f" and {len(held) - _MOST_NAMED} more" if len(held) > _MOST_NAMED else ""
    yield f"then rated {best['rating']['text']}, held by {', '.join(held[:_MOST_NAMED])}{more}"


def _alternative(other: Json, best: Json, answer: Json) -> tuple[str, str]:
    """Return what another plan costs, and in what it differs from the best."""
    mine, theirs = _parts(best), _parts(other)
    told = [f"{name}: {part}{_instead(mine.get(name))}" for name, part in theirs.items() if mine.get(name) != part]
    told += [f"{name}: as it is" for name in mine if name not in theirs]
    more = Decimal(other["cost"]) - Decimal(best["cost"])
    return f"{_cost(other, answer)} (+{more:f})", "; ".join(told)


def _instead(part: str | None) -> str:
    return " too" if part is None else f" in place of {part}"


def _parts(plan: Json) -> dict[str, str]:
    return {change["component"]: change["after"] for change in plan["changes"]}
