"""A choice of devices for a terminal."""

from collections.abc import Iterator
from collections.abc import Mapping
from typing import Any
from typing import Final

from .printed import Page

Json = Mapping[str, Any]

_DEVICES: Final = {
    "inverse_time_breaker": "circuit breaker",
    "time_delay_fuse": "time-delay fuse",
    "non_time_delay_fuse": "other fuse",
    "self_protected_controller": "self-protected controller",
}
_FIGURES: Final = {
    "full_load_current": "full load",
    "overload": "overload trips by",
    "inrush": "inrush",
    "interrupting_rating": "must interrupt",
}
_SUITABLE: Final = ("part", "kind", "amperes", "poles", "interrupts", "to spare", "price", "stock")


def selection_text(found: Json, width: int, colour: bool, why: bool) -> str:
    """Return a choice, as `Selection.as_dict()` has it, as lines for a terminal of `width` columns."""
    page = Page(width, colour)
    _requirement(page, found)
    if found["findings"]:
        page.section("Findings")
        page.findings(found["findings"], (f"{each['message']} ({each['clause']})" for each in found["findings"]))
    _suitable(page, found, why)
    _near_misses(page, found)
    return page.text


def _requirement(page: Page, found: Json) -> None:
    needed = found["requirement"]
    named = f"{found['designation']}  " if found["designation"] else ""
    poles = "1 pole" if needed["poles"] == 1 else f"{needed['poles']} poles"
    page.line(f"{named}{needed['circuit']}, {poles}", "bold")
    page.pairs(_sized(needed))


def _sized(needed: Json) -> Iterator[tuple[str, str, str]]:
    for name, words in _FIGURES.items():
        figure = needed[name]
        if figure is not None:
            yield words, figure["current"], f"{figure['statement']} ({figure['clause']})"
    for span in needed["ampere_ratings"]:
        least, most = span["minimum"], span["maximum"]
        told = f"{least['statement']} ({least['clause']}); {most['statement']} ({most['clause']})"
        yield _DEVICES[span["device"]], f"{_amperes(least)} to {_amperes(most)}", told


def _amperes(figure: Json) -> str:
    return f"{figure['current_amperes']:g} A"


def _suitable(page: Page, found: Json, why: bool) -> None:
    devices, count = found["suitable"], found["counts"]["suitable"]
    page.section(f"Suit, the best first ({_shown(devices, count)})")
    if not devices:
        page.items(["none of the catalogue"])
        return
    page.table(_SUITABLE, map(_row, devices), numbers=("amperes", "poles", "to spare", "price", "stock"))
    page.items(line for device in devices for line in _unsaid(device))
    for device in devices if why else ():
        page.section(f"Why {device['part']}")
        page.pairs(
            (check["check"].replace("_", " "), f"{check['statement']} ({check['clause']})") for check in device["why"]
        )


def _row(device: Json) -> tuple[str, ...]:
    rating, times = device["interrupting_rating"], device["quantity"]
    return (
        device["part"] if times == 1 else f"{times} × {device['part']}",
        _kind(device),
        device["ampere_rating"] or "-",
        str(device["poles"] or "-"),
        f"{rating['current']} at {rating['voltage']}",
        "-" if device["margin"] is None else device["margin"]["current"],
        device["price"] or "-",
        "-" if device["stock"] is None else str(device["stock"]),
    )


def _kind(device: Json) -> str:
    kind = str(device["kind"]).replace("_", " ")
    if device["fuse_class"]:
        return f"{kind}, class {device['fuse_class']}"
    return f"{kind}, curve {device['trip_curve']}" if device["trip_curve"] else kind


def _unsaid(device: Json) -> Iterator[str]:
    """Yield what the catalogue leaves open of a device: to be looked up before it is ordered."""
    open_ = [check["not_stated"] for check in device["why"] if "not_stated" in check]
    if open_:
        yield f"{device['part']}: the catalogue does not state {'; '.join(open_)}"


def _near_misses(page: Page, found: Json) -> None:
    misses, count = found["near_misses"], found["counts"]["near_misses"]
    if not misses:
        return
    page.section(f"Near misses, the nearest first ({_shown(misses, count)})")
    rows = ((miss["part"], miss["against"]["check"].replace("_", " "), miss["against"]["statement"]) for miss in misses)
    page.table(("part", "fails", "because"), rows)


def _shown(listed: list[Json], count: int) -> str:
    return str(count) if len(listed) == count else f"{len(listed)} of {count}"
