"""A panel document as the IEC oracle reads it: paths, the protective device of each path, and what has to be rated."""

import copy
import re
from fractions import Fraction
from functools import cache
from typing import Any

from tests.oracle.circuits import rating_serves
from tests.oracle.drawing import LOADS
from tests.oracle.drawing import Drawing
from tests.oracle.drawing import Path
from tests.oracle.drawing import Step
from tests.oracle.drawing import carried_fuses
from tests.oracle.drawing import is_ocpd
from tests.oracle.drawing import is_transformer
from tests.oracle.drawing import once
from tests.oracle.drawing import paths
from tests.oracle.narrowing import judged_at
from tests.oracle_iec.tables import LOW_SECONDARY_VOLTS
from tests.oracle_iec.tables import METERS
from tests.oracle_iec.tables import SMALL_LOW_VOLTAGE_TRANSFORMER_VA
from tests.oracle_iec.tables import SMALL_TRANSFORMER_IMPEDANCE
from tests.oracle_iec.tables import SMALL_TRANSFORMER_VA

Part = dict[str, Any]
_IEC_STAR = re.compile(r"([0-9.]+)/([0-9.]+) V")


@cache
def exact(text: str) -> Fraction:
    """The number of a quantity in the base unit: mA, s, VA, A²s, per cent."""
    number, unit = text.split(" ")
    scale = {"kA": 10**6, "A": 10**3, "mA": 1, "s": 1, "ms": Fraction(1, 1000), "kVA": 1000, "VA": 1, "%": 1}
    return Fraction(number) * ({"A²s": 1, "kA²s": 1000}[unit] if "²" in unit else scale[unit])


def in_american_form(node: Any) -> Any:
    """Write "230/400 V" as "400Y/230 V", which the plumbing of the other oracle reads."""
    if isinstance(node, dict):
        return {key: in_american_form(value) for key, value in node.items()}
    if isinstance(node, list):
        return [in_american_form(value) for value in node]
    match = _IEC_STAR.fullmatch(node) if isinstance(node, str) else None
    if match and Fraction(match[1]) < Fraction(match[2]) != 2 * Fraction(match[1]):
        return f"{match[2]}Y/{match[1]} V"
    return node


class Wired(Drawing):
    """Paths of a panel, an upstream protection put ahead of all that its supply feeds."""

    def __init__(self, document: Part) -> None:
        super().__init__(in_american_form(copy.deepcopy(document)))
        self.trusted: frozenset[str | None] = frozenset()  # devices that are not asked again
        self.switches: Part = document.get("options", {})

    def _put_protection_ahead(self, supply: Part) -> None:
        protection = supply.get("upstream_protection")
        if not protection:
            return
        name = f"ahead of {supply['id']}"
        for part, feeds in self.feeds.items():
            self.feeds[part] = [Step(name) if f.id == supply["id"] else f for f in feeds]
        self.parts[name] = {**protection, "id": name, "kind": protection["device"], "ahead": True}
        self.feeds[name] = [Step(supply["id"])]


def fits(drawing: Drawing, id: str, rating: Part) -> bool:
    """The voltage of a rating serves in every circuit that reaches the part."""
    return all(rating_serves(rating, circuit) for circuit in judged_at(drawing, id))


@once
def fitting(drawing: Drawing, id: str, field: str) -> list[Part]:
    """The ratings of a part in a field that serve in its circuits."""
    return [rating for rating in drawing.parts[id].get(field, []) if fits(drawing, id, rating)]


@once
def protectors(drawing: Drawing, id: str) -> list[tuple[str, str | None]]:
    """For each path: the nearest device and whether it is "own" (same voltage), "foreign", or there is "none"."""
    if carried_fuses(drawing, id):
        return [("own", fuse) for fuse in carried_fuses(drawing, id)]
    return sorted({_protector(drawing, path) for path in paths(drawing, id)}, key=str)


def _protector(drawing: Drawing, path: Path) -> tuple[str, str | None]:
    crossed = False
    for step in reversed(path):
        if is_ocpd(drawing, step.id):
            return ("foreign" if crossed else "own", step.id)
        crossed |= is_transformer(drawing, step.id)
    return ("none", None)


@once
def has_to_be_rated(drawing: Drawing, id: str) -> bool:
    """Whether the part counts, apart from what a small transformer takes out."""
    part = drawing.parts[id]
    kind, position = part["kind"], part.get("position")
    outside = "ahead" in part or part.get("location") == "field" or (kind in LOADS and "location" not in part)
    if outside or kind == "transformer":
        return False
    if is_ocpd(drawing, id):
        return True
    if part.get("exempt") or position in ("drive_output", "behind_current_transformer"):
        return False
    return not (kind in METERS and _behind_current_transformer(drawing, id))


def _behind_current_transformer(drawing: Drawing, id: str) -> bool:
    return all(drawing.parts.get(feed.id, {}).get("kind") == "current_transformer" for feed in drawing.feeds[id])


@once
def takes_out(drawing: Drawing, id: str) -> bool:
    """Whether what stands behind this transformer needs no withstand (IEC 61439-1, 10.11.2 c)."""
    plate = drawing.parts[id].get("transformer", {}) if is_transformer(drawing, id) else {}
    if "kva" not in plate or "impedance" not in plate or plate.get("isolated") is False:
        return False
    written = plate["secondary"] if isinstance(plate["secondary"], list) else [plate["secondary"]]
    low = any(Fraction(re.split("[Y/ ]", volts)[0]) < LOW_SECONDARY_VOLTS for volts in written)
    most = SMALL_LOW_VOLTAGE_TRANSFORMER_VA if low else SMALL_TRANSFORMER_VA
    return exact(plate["kva"]) <= most and exact(plate["impedance"]) >= SMALL_TRANSFORMER_IMPEDANCE


def taken_out(drawing: Drawing, id: str) -> bool:
    """On every path behind a transformer that takes it out."""
    return all(any(takes_out(drawing, step.id) for step in path) for path in paths(drawing, id))
