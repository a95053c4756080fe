"""Upgrade plans: a panel comes in, the least change of parts that lifts it to a target goes out, with its proof."""

from collections.abc import Mapping
from dataclasses import dataclass
from dataclasses import replace
from typing import Any
from typing import Final

from flask import Blueprint
from flask import Response

from sccr import Catalogue
from sccr import Rating
from sccr import load_panel
from sccr import rate
from sccr.editions import editions
from sccr.errors import InvalidDocument
from sccr.errors import Problem
from sccr.schema import quantity
from sccr.units import MilliAmperes

from .access import Role
from .access import require
from .answers import as_json
from .answers import require_acceptable
from .body import json_body
from .idempotency import Settle
from .idempotency import once_if_asked
from .operations import in_time
from .parameters import Reader
from .parameters import flag
from .parameters import one_of
from .parameters import parameters
from .parameters import whole
from .parts import version_number
from .rated import read_object
from .selections import catalogue_asked
from .service import service
from .store import parts_named

blueprint = Blueprint("upgrade_plans", __name__, url_prefix="/v1")

FORMAT: Final = "upgrade-plans/1"

#: The share of the time for a request that the search for plans may take; the rest is for ratings and what blocks.
_SHARE: Final = 0.6
_SECONDS: Final = 10
_MOST_SECONDS: Final = 3600
_MOST_ALTERNATIVES: Final = 10
#: Kinds that a plan may add to a panel that has none of them.
_ADDED: Final = ("fuse", "fuseholder")

_ASKED: Final[dict[str, Reader]] = {
    "target": quantity.current,
    "objective": one_of(("price", "changes", "labour")),
    "alternatives": whole(0, _MOST_ALTERNATIVES),
    "staircase": flag,
    "on_hand_first": flag,
    "seconds": whole(1, _MOST_SECONDS),
    "edition": lambda value: one_of(tuple(editions()))(value),
    "version": version_number,
}


@dataclass(frozen=True, slots=True)
class _Before:
    """A panel as it is: document, rating, the target stated in it [mA], and the kinds of its components."""

    document: dict[str, Any]
    rating: Rating
    target: MilliAmperes | None
    kinds: frozenset[str]

    @property
    def wanted(self) -> MilliAmperes:
        """Return the target: the document's, else the highest available fault current; InvalidDocument without one."""
        available = [supply.available.current for supply in self.rating.supplies if supply.available is not None]
        if self.target is None and not available:
            told = (
                "is missing: write it, or the parameter target, or the available_fault_current of a supply: "
                "there is nothing to plan for"
            )
            raise InvalidDocument([Problem("/target", "required", told)])
        return self.target or max(available)


@blueprint.post("/upgrade-plans")
@require(Role.RATE)
def create_upgrade_plans() -> Response:
    """Plan the way up of the panel document that is the body; nothing is kept of it."""
    require_acceptable()
    asked = parameters(_ASKED)
    body = json_body(service().settings.max_body_bytes)

    def prepare() -> Settle:
        answer = _planned(read_object(body), asked)
        return lambda: as_json(answer)

    return once_if_asked(body, prepare)


def _planned(document: dict[str, Any], asked: Mapping[str, Any]) -> dict[str, Any]:
    # Here, with the first plan, since to stop an import halfway, as work in time may be, breaks the module.
    import highspy  # noqa: F401

    import sccr.upgrade

    from .kept_parts import catalogue_of

    if asked["edition"] is not None:
        document = sccr.upgrade.by_edition(document, asked["edition"])
    version = catalogue_asked(asked["version"])
    stored = None if version is None else service().store.catalogue_for(document, version.number)
    before = in_time(service().settings.work_seconds, lambda: _before(document, stored))
    targets = _targets(before, asked)
    if version is None or stored is None:
        catalogue = Catalogue({}, "")
    else:
        named = [part for number in parts_named(document) if (part := stored.lookup(number)) is not None]
        catalogue = catalogue_of(version, {*before.kinds, *_ADDED}, named)
    seconds = min(asked["seconds"] or _SECONDS, _SHARE * service().settings.work_seconds)
    plans = in_time(
        service().settings.work_seconds,
        lambda: _plans(document, catalogue, targets, asked, seconds / len(targets)),
    )
    rating = before.rating
    return {
        "format": FORMAT,
        "rating": None if rating.rating is None else rating.rating.as_dict(),
        "plans": plans,
        "seconds": seconds,
        "catalogue_version": None if version is None else version.number,
        "method": {**rating.as_dict()["method"], "catalogue_digest": None if version is None else version.digest},
        "document_digest": rating.document_digest,
    }


def _before(document: dict[str, Any], catalogue: Catalogue | None) -> _Before:
    panel = load_panel(document, catalogue)
    kinds = frozenset(component.kind.name for component in panel.components)
    return _Before(document, rate(document, catalogue), panel.target, kinds)


def _targets(before: _Before, asked: Mapping[str, Any]) -> list[MilliAmperes]:
    """Return the rating that is wanted [mA], or every step of the staircase, that one among them where it is stated."""
    if not asked["staircase"]:
        return [asked["target"] or before.wanted]
    from sccr.upgrade.planning import LEVELS

    return sorted({*LEVELS, asked["target"] or LEVELS[0]})


def _plans(
    document: dict[str, Any],
    catalogue: Catalogue,
    targets: list[MilliAmperes],
    asked: Mapping[str, Any],
    seconds: float,
) -> list[dict[str, Any]]:
    from sccr.upgrade import plan

    if asked["on_hand_first"] is False:
        catalogue = _without_stock(catalogue)
    alternatives = asked["alternatives"]
    options: dict[str, Any] = {
        "objective": asked["objective"] or "price",
        "alternatives": alternatives if alternatives is not None else 0 if asked["staircase"] else 2,
        "time_limit": seconds,
    }
    try:
        return [plan(document, catalogue, target, **options).as_dict() for target in targets]
    except ValueError as error:
        if options["objective"] != "price":
            raise
        raise InvalidDocument([Problem("", "prices-not-exact", str(error))]) from error  # the catalogue's, not ours


def _without_stock(catalogue: Catalogue) -> Catalogue:
    return Catalogue({number: replace(part, stock=None) for number, part in catalogue.parts.items()}, catalogue.digest)
