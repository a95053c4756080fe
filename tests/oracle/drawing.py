"""The panel as it is wired: every path from a supply down to a component, written out."""

from collections.abc import Callable
from functools import wraps
from typing import Any
from typing import NamedTuple
from typing import TypeVar
from typing import cast

from tests.oracle.circuits import outside_rating
from tests.oracle.circuits import supply_circuit

CONTROLLERS = {
    "contactor",
    "motor_starter",
    "manual_motor_controller",
    "combination_motor_controller",
    "soft_starter",
    "drive",
}
HOLDERS = {"fuseholder", "fused_disconnect_switch"}
LOADS = {"motor", "heater", "lighting", "load"}
EXEMPT_KINDS = {
    "transformer",
    "reactor",
    "capacitor",
    "resistor",
    "varistor",
    "current_transformer",
    "voltmeter",
}


class Step(NamedTuple):
    """One device on a path; the winding matters below a transformer only."""

    id: str
    winding: int = 1


Path = tuple[Step, ...]
F = TypeVar("F", bound=Callable[..., Any])


def once(function: F) -> F:
    """Remember the answers of a function of a drawing for as long as the drawing lives."""

    @wraps(function)
    def remembered(drawing: "Drawing", *args: Any) -> Any:
        key = (function.__module__, function.__name__, *args)
        if key not in drawing.memory:
            drawing.memory[key] = function(drawing, *args)
        return drawing.memory[key]

    return cast(F, remembered)


class Drawing:
    """Paths and roles of one panel document."""

    def __init__(self, document: dict[str, Any]) -> None:
        self.memory: dict[Any, Any] = {}
        self.options: dict[str, bool] = document.get("options", {})
        self.supplies = {s["id"]: s for s in document["supplies"]}
        self.parts: dict[str, dict[str, Any]] = {c["id"]: c for c in document["components"]}
        self.feeds = {c["id"]: self._feeds(c) for c in document["components"]}
        for supply in document["supplies"]:
            self._put_protection_ahead(supply)

    def _feeds(self, part: dict[str, Any]) -> list[Step]:
        named = part["fed_from"] if isinstance(part["fed_from"], list) else [part["fed_from"]]
        return [self._step(name) for name in named]

    def _step(self, name: str) -> Step:
        if name in self.parts or name in self.supplies:
            return Step(name)
        owner, _, winding = name.rpartition("/")
        return Step(owner, int(winding))

    def _put_protection_ahead(self, supply: dict[str, Any]) -> None:
        """An upstream protection with an IR is an OCPD ahead of all of its supply."""
        protection = supply.get("upstream_protection")
        if not protection or outside_rating(protection, supply_circuit(supply)) is None:
            return
        name = f"ahead of {supply['id']}"
        for part, feeds in self.feeds.items():
            self.feeds[part] = [Step(name) if f.id == supply["id"] else f for f in feeds]
        self.parts[name] = {**protection, "id": name, "kind": protection["device"], "ahead": True}
        self.feeds[name] = [Step(supply["id"])]


@once
def paths(drawing: Drawing, id: str) -> list[Path]:
    """Every path to a part: from its supply down to what feeds it."""
    if id in drawing.supplies:
        return [()]
    return [(*path, feed) for feed in drawing.feeds[id] for path in paths(drawing, feed.id)]


@once
def above(drawing: Drawing, id: str) -> set[str]:
    """Everything on any path to a part."""
    return {step.id for path in paths(drawing, id) for step in path}


@once
def below(drawing: Drawing, id: str) -> set[str]:
    """All parts that have this one on a path."""
    return {part for part in drawing.parts if id in above(drawing, part)}


def is_transformer(drawing: Drawing, id: str) -> bool:
    return drawing.parts.get(id, {}).get("kind") == "transformer"


def crosses_transformer(drawing: Drawing, path: Path) -> bool:
    return any(is_transformer(drawing, step.id) for step in path)


def in_panel(drawing: Drawing, id: str) -> bool:
    part = drawing.parts[id]
    return "ahead" not in part and part.get("location") != "field"


def is_control(drawing: Drawing, id: str) -> bool:
    return drawing.parts[id].get("circuit") == "control"


def is_ocpd(drawing: Drawing, id: str) -> bool:
    """Breakers, fuses and self-protected controllers; the reliable one outside as well."""
    part = drawing.parts.get(id, {})
    if part.get("location") == "field":
        return False
    if part.get("kind") in CONTROLLERS:
        return bool(part.get("self_protected"))
    return part.get("kind") in ("circuit_breaker", "fuse")


@once
def power_ocpds_below(drawing: Drawing, id: str) -> set[str]:
    ocpds = {p for p in below(drawing, id) if is_ocpd(drawing, p)}
    return {p for p in ocpds if not is_control(drawing, p)}


@once
def carried_fuses(drawing: Drawing, id: str) -> list[str]:
    """The fuses that sit in a holder or fused switch."""
    if drawing.parts[id]["kind"] not in HOLDERS:
        return []
    sitting = [p for p, feeds in drawing.feeds.items() if Step(id) in feeds]
    return [p for p in sitting if drawing.parts[p]["kind"] == "fuse" and is_ocpd(drawing, p)]


@once
def is_feeder(drawing: Drawing, id: str) -> bool:
    """A power OCPD stands behind it; a holder goes with the fuses that it carries."""
    return bool(power_ocpds_below(drawing, id) - set(carried_fuses(drawing, id)))


def nearest_ocpd(drawing: Drawing, path: Path) -> str | None:
    """The last OCPD on a path, wherever it stands."""
    return next((s.id for s in reversed(path) if is_ocpd(drawing, s.id)), None)


@once
def branch_ocpds(drawing: Drawing, id: str) -> list[str | None]:
    """One for each path to the part; None where a path has no OCPD."""
    if carried_fuses(drawing, id):
        return [*carried_fuses(drawing, id)]
    return [nearest_ocpd(drawing, path) for path in paths(drawing, id)]


@once
def guards(drawing: Drawing, id: str) -> list[str | None]:
    """What protects the part in the sense of its tested ratings, path by path.

    A fuse in another voltage zone, across a transformer, is not what it was tested with.
    """
    if drawing.parts[id]["kind"] in HOLDERS:
        return [*carried_fuses(drawing, id)] or [None]
    own_zone = [_since_transformer(drawing, path) for path in paths(drawing, id)]
    return [nearest_ocpd(drawing, path) for path in own_zone]


def _since_transformer(drawing: Drawing, path: Path) -> Path:
    last = max((i for i, s in enumerate(path) if is_transformer(drawing, s.id)), default=-1)
    return path[last + 1 :]


@once
def control_is_honoured(drawing: Drawing, id: str) -> bool:
    """Marked control, and on every path behind an OCPD that protects no power OCPD."""

    def ends_power(step: Step) -> bool:
        return is_ocpd(drawing, step.id) and not power_ocpds_below(drawing, step.id)

    honoured = is_control(drawing, id) and all(any(map(ends_power, p)) for p in paths(drawing, id))
    return honoured and not taps_power(drawing, id)


def taps_power(drawing: Drawing, id: str) -> bool:
    """The first control device at a supply's own voltage on some path: it counts (section 1, point 5)."""
    if not is_ocpd(drawing, id) and drawing.parts[id]["kind"] != "supplementary_protector":
        return False

    def behind_a_tap(path: Path) -> bool:
        return any(is_ocpd(drawing, s.id) and is_control(drawing, s.id) for s in path)

    to = paths(drawing, id)
    at_supply = any(not any(is_transformer(drawing, s.id) for s in path) for path in to)
    return at_supply and not all(map(behind_a_tap, to))


@once
def counts(drawing: Drawing, id: str) -> bool:
    """Whether the part needs a rating (SB4.2)."""
    part = drawing.parts[id]
    kind, position = part["kind"], part.get("position")
    if not in_panel(drawing, id) or kind in EXEMPT_KINDS or part.get("exempt"):
        return False
    if kind in LOADS and part.get("location") != "panel":
        return False
    if kind == "contactor" and position == "wye_point":
        return False
    if kind == "current_meter" and (position == "behind_current_transformer" or _metered(drawing, id)):
        return False
    return not control_is_honoured(drawing, id)


def _metered(drawing: Drawing, id: str) -> bool:
    sources = [drawing.parts.get(feed.id, {}).get("kind") for feed in drawing.feeds[id]]
    return all(kind in ("current_transformer", "current_shunt") for kind in sources)
