"""Two ratings side by side: what changed in the panel, and why the rating moved, step by step.

It works on ratings and documents as they are stored (JSON), so that a record of last year compares with one of today.
"""

from collections.abc import Iterator
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

Json = Mapping[str, Any]
#: Fields of a panel document that are not lists of parts, and whose change is worth naming.
_WHOLE = ("panel", "edition", "target", "options")


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that differs between the documents: where (a component, a supply, or the panel), field, old and new."""

    where: str
    field: str
    before: Any
    after: Any

    def as_dict(self) -> dict[str, Any]:
        """Return the change as JSON."""
        return {"where": self.where, "field": self.field, "before": self.before, "after": self.after}


@dataclass(frozen=True, slots=True)
class Moved:
    """A component whose value moved: amperes before and after, None where it has none; with the reason of each."""

    component: str
    before: float | None
    after: float | None
    because_before: str
    because_after: str

    def as_dict(self) -> dict[str, Any]:
        """Return the move as JSON."""
        return {
            "component": self.component,
            "before_amperes": self.before,
            "after_amperes": self.after,
            "because_before": self.because_before,
            "because_after": self.because_after,
        }


@dataclass(frozen=True, slots=True)
class Comparison:
    """What differs between two ratings.

    added, removed: component ids; changed: fields of the documents; moved: values; diverges: the first step of the
    derivations that differs, as a pair; why: the reasons in sentences, the deciding one first.
    """

    before: str
    after: str
    difference_amperes: float | None
    added: tuple[str, ...]
    removed: tuple[str, ...]
    changed: tuple[Change, ...]
    moved: tuple[Moved, ...]
    diverges: tuple[Json | None, Json | None] | None
    method_changed: tuple[Change, ...]
    why: tuple[str, ...]

    @property
    def same(self) -> bool:
        """Whether the ratings read the same."""
        return self.before == self.after

    def as_dict(self) -> dict[str, Any]:
        """Return the comparison as JSON."""
        return {
            "before": self.before,
            "after": self.after,
            "same": self.same,
            "difference_amperes": self.difference_amperes,
            "added": list(self.added),
            "removed": list(self.removed),
            "changed": [change.as_dict() for change in self.changed],
            "moved": [move.as_dict() for move in self.moved],
            "diverges": None if self.diverges is None else {"before": self.diverges[0], "after": self.diverges[1]},
            "method_changed": [change.as_dict() for change in self.method_changed],
            "why": list(self.why),
        }


def compare(before: Json, after: Json, document_before: Json, document_after: Json) -> Comparison:
    """Return what differs between two ratings.

    Parameters
    ----------
    before, after : mapping
        Ratings as `Rating.as_dict()` gives them.
    document_before, document_after : mapping
        The panel documents that they rate.
    """
    old, new = _parts(document_before), _parts(document_after)
    moved = tuple(_moved(before, after))
    method = tuple(_fields("method", before["method"], after["method"]))
    return Comparison(
        before=_text(before),
        after=_text(after),
        difference_amperes=_difference(before, after),
        added=tuple(name for name in new if name not in old),
        removed=tuple(name for name in old if name not in new),
        changed=tuple(_changes(document_before, document_after)),
        moved=moved,
        diverges=_diverges(before["derivation"], after["derivation"]),
        method_changed=method,
        why=tuple(_why(before, after, moved, method)),
    )


def _parts(document: Json) -> dict[str, Json]:
    return {component["id"]: component for component in document["components"]}


def _text(rating: Json) -> str:
    return rating["rating"]["text"] if rating["rating"] else "withheld"


def _difference(before: Json, after: Json) -> float | None:
    if not before["rating"] or not after["rating"]:
        return None
    return float(after["rating"]["current_amperes"] - before["rating"]["current_amperes"])


def _changes(old: Json, new: Json) -> Iterator[Change]:
    for name in _WHOLE:
        if old.get(name) != new.get(name):
            yield from _fields(name, old.get(name), new.get(name))
    yield from _listed({s["id"]: s for s in old["supplies"]}, {s["id"]: s for s in new["supplies"]})
    yield from _listed(_parts(old), _parts(new))


def _listed(old: Mapping[str, Json], new: Mapping[str, Json]) -> Iterator[Change]:
    for name in old:
        if name in new:
            yield from _fields(name, old[name], new[name])


def _fields(where: str, old: Any, new: Any) -> Iterator[Change]:
    if not isinstance(old, Mapping) or not isinstance(new, Mapping):
        if old != new:
            yield Change("panel", where, old, new)
        return
    for field in [*old, *(name for name in new if name not in old)]:
        if old.get(field) != new.get(field):
            yield Change(where, field, old.get(field), new.get(field))


def _moved(before: Json, after: Json) -> Iterator[Moved]:
    old = {component["id"]: component for component in before["components"]}
    new = {component["id"]: component for component in after["components"]}
    for name in [*old, *(name for name in new if name not in old)]:
        was, now = _worth(old.get(name)), _worth(new.get(name))
        if was != now:
            yield Moved(name, was, now, _because(old.get(name)), _because(new.get(name)))


def _worth(component: Json | None) -> float | None:
    value = component["after_credit"] if component is not None else None
    return None if value is None else value["current_amperes"]


def _because(component: Json | None) -> str:
    return "" if component is None else str(component["because"])


def _diverges(old: list[Json], new: list[Json]) -> tuple[Json | None, Json | None] | None:
    """Return the first pair of steps that differ; their numbers do not count, since a step added shifts them."""
    for place in range(max(len(old), len(new))):
        one = old[place] if place < len(old) else None
        other = new[place] if place < len(new) else None
        if _unnumbered(one) != _unnumbered(other):
            return one, other
    return None


def _unnumbered(step: Json | None) -> dict[str, Any] | None:
    return None if step is None else {name: value for name, value in step.items() if name != "number"}


def _why(before: Json, after: Json, moved: tuple[Moved, ...], method: tuple[Change, ...]) -> Iterator[str]:
    old, new = _text(before), _text(after)
    if old == new:
        yield f"the rating reads the same: {old}"
    else:
        yield f"the rating goes from {old} to {new}"
    yield from _limits_then(before, {move.component: move for move in moved})
    yield from _limits_now(before, after)
    yield from _errors(before, after)
    yield from (f"{change.field} goes from {change.before} to {change.after}" for change in method)


def _limits_then(before: Json, moved: Mapping[str, Moved]) -> Iterator[str]:
    for limit in before["limited_by"]:
        move = moved.get(limit["component"])
        if move is None:
            yield f"{limit['component']}, which held it, is worth what it was"
        elif move.after is None:
            yield f"{limit['component']}, which held it, no longer counts or is gone"
        else:
            moves = f"goes from {move.before:g} A to {move.after:g} A"
            yield f"{limit['component']}, which held it, {moves}: {move.because_after}"


def _limits_now(before: Json, after: Json) -> Iterator[str]:
    held = {limit["component"] for limit in before["limited_by"]}
    for limit in after["limited_by"]:
        if limit["component"] not in held:
            yield f"now {limit['component']} holds it: {limit['reason']}"


def _errors(before: Json, after: Json) -> Iterator[str]:
    old = [(f["component"], f["message"]) for f in before["findings"] if f["severity"] == "error"]
    new = [(f["component"], f["message"]) for f in after["findings"] if f["severity"] == "error"]
    yield from (f"no longer an error: {_named(*error)}" for error in old if error not in new)
    yield from (f"now an error: {_named(*error)}" for error in new if error not in old)


def _named(component: str | None, message: str) -> str:
    return f"{component}: {message}" if component else message
