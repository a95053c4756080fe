"""Does this part of an IEC assembly stand a prospective current of so many milliamperes? Asked by trial.

A current is put to the supply, goes down every path, through transformers, and is put to every part with every device
that protects it. The rating is the largest current at which nothing falls, found by halving: no value is ever carried.
"""

from collections.abc import Callable
from fractions import Fraction
from functools import partial
from itertools import chain
from typing import Any
from typing import NamedTuple

from tests.oracle.circuits import THREE_WIRE
from tests.oracle.circuits import Circuit
from tests.oracle.combinations import sits_in_open_holder
from tests.oracle.drawing import Path
from tests.oracle.drawing import is_ocpd
from tests.oracle.drawing import is_transformer
from tests.oracle.drawing import nearest_ocpd
from tests.oracle.drawing import once
from tests.oracle.drawing import paths
from tests.oracle.misuse import MEASURING_TAPS
from tests.oracle.narrowing import arriving
from tests.oracle.narrowing import judged_at
from tests.oracle.narrowing import secondary
from tests.oracle.narrowing import transformer_phases
from tests.oracle_iec.tables import COORDINATED
from tests.oracle_iec.tables import CUT_OFF
from tests.oracle_iec.tables import EARTH_FAULT
from tests.oracle_iec.tables import LEAST_IMPEDANCE
from tests.oracle_iec.tables import PLAIN_CONDUCTORS
from tests.oracle_iec.tables import UNVERIFIED
from tests.oracle_iec.tables import VOLTAGE_FACTOR
from tests.oracle_iec.tables import peak_factor
from tests.oracle_iec.wiring import Part
from tests.oracle_iec.wiring import Wired
from tests.oracle_iec.wiring import exact
from tests.oracle_iec.wiring import fits
from tests.oracle_iec.wiring import fitting
from tests.oracle_iec.wiring import has_to_be_rated
from tests.oracle_iec.wiring import protectors
from tests.oracle_iec.wiring import taken_out

#: More than any current that a document may state, and any lower one comes in whole milliamperes.
ABOVE_ALL = 2 * 10**9


class Verdict(NamedTuple):
    """What a panel is rated [mA; s], what holds it down, the value of each part, and the errors as (code, part).

    limited_by: what falls next whatever the devices around it break, so it must be named; may_limit: all that falls.
    """

    current: int | None
    designation: str | None
    duration: Fraction | None
    peak: int | None
    limited_by: frozenset[str]
    may_limit: frozenset[str]
    supplies: dict[str, int]
    values: dict[str, int]
    errors: frozenset[tuple[str, str]]


def largest(stands: Callable[[int], bool]) -> int:
    """The largest whole current that is stood; everything below it is stood too. 0 where none is."""
    low, high = 0, ABOVE_ALL
    while low + 1 < high:
        middle = (low + high) // 2
        low, high = (middle, high) if stands(middle) else (low, middle)
    return low


def verdict(document: dict[str, Any]) -> Verdict:
    """Rate a panel document."""
    drawing = Wired(document)
    errors = frozenset(_errors(drawing))
    values = {part: largest(partial(stands, drawing, part)) for part in counted(drawing)}
    values = {part: value for part, value in values.items() if value}
    if errors:
        return Verdict(None, None, None, None, frozenset(), frozenset(), {}, values, errors)
    by_supply = {supply: largest(partial(survives, drawing, supply)) for supply in drawing.supplies}
    current = min(by_supply.values())
    lowest = [s for s, rated in by_supply.items() if rated == current]
    alone, every = zip(*(limiting(drawing, supply, current + 1) for supply in lowest), strict=True)
    limits, may = frozenset(chain(*alone)), frozenset(chain(*every))
    peak = int(current * peak_factor(current))
    duration = reference_duration(drawing)
    return Verdict(
        current, "Icc" if duration is None else "Icw", duration, peak, limits, may, by_supply, values, errors
    )


def limiting(drawing: Wired, supply: str, current: int) -> tuple[list[str], list[str]]:
    """The parts that fall by themselves, whatever the devices around them break; and all that fall."""
    every = fallen(drawing, supply, current)
    devices = {part for part in drawing.parts if is_ocpd(drawing, part)}
    alone = [p for p in every if p in _fallen_if_trusted(drawing, supply, current, devices - {p})]
    return alone, [*every, f"{supply}:upstream"]


def _fallen_if_trusted(drawing: Wired, supply: str, current: int, devices: set[str]) -> list[str]:
    """What falls still if these devices broke any current."""
    drawing.trusted = frozenset(devices)
    found = fallen(drawing, supply, current)
    drawing.trusted = frozenset()
    return found


@once
def counted(drawing: Wired) -> list[str]:
    """The parts that need a value: protective devices, and other parts that no small transformer takes out."""
    parts = [p for p in drawing.parts if has_to_be_rated(drawing, p)]
    return [p for p in parts if is_ocpd(drawing, p) or not taken_out(drawing, p)]


def survives(drawing: Wired, supply: str, current: int) -> bool:
    """Whether everything that this supply feeds stands a current [mA] at its terminals."""
    return not fallen(drawing, supply, current)


def fallen(drawing: Wired, supply: str, current: int) -> list[str]:
    """The parts that do not stand what a current [mA] at this supply becomes at their place."""
    found = []
    for part in counted(drawing):
        reaching = [path for path in paths(drawing, part) if path[0].id == supply]
        if any(not stands(drawing, part, arrives(drawing, path, current)) for path in reaching):
            found.append(part)
    return found


def arrives(drawing: Wired, path: Path, current: int) -> int:
    """What a current [mA] at the supply is at the end of a path, rounded up behind each transformer."""
    for step in path:
        if is_transformer(drawing, step.id):
            current = min([_transformed(drawing, step.id, step.winding, current), *_through(drawing, *step)])
    return current


def _transformed(drawing: Wired, id: str, winding: int, current: int) -> int:
    """With no impedance at all: by the ratio of the voltages."""
    plate = drawing.parts[id]["transformer"]
    own = Fraction(plate["primary"].split("Y")[0].split(" ")[0]) if "primary" in plate else None
    primary = own or Fraction(max(circuit.volts for circuit in arriving(drawing, id)))
    ratio = primary / _between(secondary(drawing, id, winding))
    return -int(-current * ratio * _earth_fault(drawing, id, winding) // 1)


def _earth_fault(drawing: Wired, id: str, winding: int) -> Fraction:
    """How many times a three-phase fault one to earth may be: of a star that is not said to be without earth."""
    system = drawing.parts[id]["transformer"].get("secondary_system", "solidly_grounded_wye")
    system = system if isinstance(system, str) else system[winding - 1]
    three = transformer_phases(drawing, id) == 3
    return EARTH_FAULT if three and system == "solidly_grounded_wye" else Fraction(1)


@once
def _through(drawing: Wired, id: str, winding: int) -> list[int]:
    """The most that the nameplate lets through from an infinite source, where it tells."""
    plate = drawing.parts[id]["transformer"]
    if "kva" not in plate or "impedance" not in plate or plate.get("isolated") is False:
        return []
    circuit = secondary(drawing, id, winding)
    exactly = VOLTAGE_FACTOR * exact(plate["kva"]) * 100 * 1000
    exactly /= _between(circuit) * exact(plate["impedance"]) * LEAST_IMPEDANCE
    three = transformer_phases(drawing, id) == 3 and not circuit.system.startswith("single_phase")
    square = exactly**2 / (3 if three else 1)
    return [next_whole_root(square)]


def _between(circuit: Circuit) -> Fraction:
    """The volts of the hardest fault of a winding: of one with a middle conductor those of a half."""
    halved = circuit.system == THREE_WIRE and circuit.ground is not None
    return Fraction(circuit.ground if halved and circuit.ground is not None else circuit.line)


def next_whole_root(square: Fraction) -> int:
    """The least whole number whose square is not below."""
    return largest(lambda i: i * i < square) + 1


def stands(drawing: Wired, id: str, current: int) -> bool:
    """Whether a part stands a prospective current [mA] at its own place, behind each device that may protect it."""
    if any(circuit.dc for circuit in judged_at(drawing, id)):
        return False
    if is_ocpd(drawing, id):
        return breaks(drawing, id, current)
    return all(_stands_behind(drawing, id, way, device, current) for way, device in protectors(drawing, id))


def _stands_behind(drawing: Wired, id: str, way: str, device: str | None, current: int) -> bool:
    """By its own ratings where one counts at all behind this device, else as a plain conductor."""
    if _rated_behind(drawing, id, way, device, 1):
        return _rated_behind(drawing, id, way, device, current)
    if drawing.parts[id]["kind"] not in PLAIN_CONDUCTORS:
        return False
    return current <= UNVERIFIED or _cut_off(drawing, way, device, current)


def _cut_off(drawing: Wired, way: str, device: str | None, current: int) -> bool:
    """The device cuts the current off at 17 kA peak (IEC 61439-1, 10.11.2 b)."""
    if way != "own" or not breaks(drawing, device, current):
        return False
    return _limited(drawing, device, current, lambda point: exact(point["peak"]) <= CUT_OFF)


def _limited(drawing: Wired, device: str | None, current: int, passes: Callable[[Part], bool]) -> bool:
    """Up to some published point at or above the current, every point of the device passes."""
    points = fitting(drawing, device, "let_through")
    bad = [exact(point["available"]) for point in points if not passes(point)]
    good = [exact(point["available"]) for point in points]
    return any(current <= reached < min(bad, default=ABOVE_ALL) for reached in good)


def _rated_behind(drawing: Wired, id: str, way: str, device: str | None, current: int) -> bool:
    """By a rating of its own that counts behind this device, or ahead of all devices."""
    if way == "foreign":
        return False
    part = drawing.parts[id]
    if way == "none":
        entry = None if _needs_type_2(drawing, part) else _entry_ahead(part)
        return entry is not None and _lasts(entry, current, reference_duration(drawing))
    if not breaks(drawing, device, current):
        return False
    tested = [rating for rating in fitting(drawing, id, "conditional_ratings") if _counts(drawing, part, rating)]
    if any(current <= exact(r["current"]) and _named(drawing, device, r["protected_by"]) for r in tested):
        return True
    if _needs_type_2(drawing, part):
        return False
    return any(_short_time_behind(drawing, entry, device, current) for entry in part.get("short_time_ratings", []))


def _counts(drawing: Wired, part: Part, rating: Part) -> bool:
    """Type 2 coordination where it is asked for."""
    return not _needs_type_2(drawing, part) or rating.get("coordination") == 2


def _needs_type_2(drawing: Wired, part: Part) -> bool:
    return drawing.switches.get("coordination", 1) == 2 and part["kind"] in COORDINATED


def _short_time_behind(drawing: Wired, entry: Part, device: str | None, current: int) -> bool:
    if _limited(drawing, device, current, lambda point: _lets_little(point, entry)):
        return True
    clears = drawing.parts[device or ""].get("clearing_time")
    return clears is not None and _lasts(entry, current, exact(clears))


def _lets_little(point: Part, entry: Part) -> bool:
    withstand = exact(entry["current"])
    peak = exact(entry["peak"]) if "peak" in entry else withstand * peak_factor(int(withstand))
    joule = (withstand / 1000) ** 2 * exact(entry["duration"])
    return exact(point["peak"]) <= peak and "i2t" in point and exact(point["i2t"]) <= joule


def _lasts(entry: Part, current: int, duration: Fraction) -> bool:
    """The heat of the current over a duration, its rms and its peak are not above what was tested."""
    withstand, tested = exact(entry["current"]), exact(entry["duration"])
    hot = current**2 * duration > withstand**2 * tested
    return not hot and current <= withstand and _peak_is_stood(entry, current)


def _peak_is_stood(entry: Part, current: int) -> bool:
    return "peak" not in entry or current * peak_factor(current) <= exact(entry["peak"])


def _entry_ahead(part: Part) -> Part | None:
    """Of several short-time ratings the longest, and of those the highest."""
    entries = part.get("short_time_ratings", [])
    return max(entries, key=lambda e: (exact(e["duration"]), exact(e["current"])), default=None)


@once
def reference_duration(drawing: Wired) -> Fraction | None:
    """The longest duration among the parts that stand ahead of every device."""
    ahead = [p for p in counted(drawing) if stands_ahead(drawing, p)]
    # what must be coordinated by type 2 claims no short-time rating: it withholds, and lengthens nothing for the others
    entries = [_entry_ahead(drawing.parts[part]) for part in ahead if not _needs_type_2(drawing, drawing.parts[part])]
    return max((exact(entry["duration"]) for entry in entries if entry is not None), default=None)


def stands_ahead(drawing: Wired, id: str) -> bool:
    """On some path ahead of every protective device, and none itself."""
    return not is_ocpd(drawing, id) and ("none", None) in protectors(drawing, id)


def breaks(drawing: Wired, id: str | None, current: int) -> bool:
    """Whether a protective device breaks a prospective current at its place, by itself or backed up."""
    if id in drawing.trusted:
        return True
    if id is None or not _breaks_alone(drawing, id, 1):
        return False
    if _breaks_alone(drawing, id, current):
        return True
    ways = protectors(drawing, id)
    for rating in fitting(drawing, id, "back_up_ratings"):
        named = all(way == "own" and _named(drawing, device, rating["line_side"]) for way, device in ways)
        if (
            named
            and current <= exact(rating["current"])
            and all(breaks(drawing, device, current) for _, device in ways)
        ):
            return True
    return False


def _breaks_alone(drawing: Wired, id: str, current: int) -> bool:
    """By what is marked at a fitting voltage: of two standards the one that breaks less, as a rule."""
    highest: dict[str, Fraction] = {}
    for rating in fitting(drawing, id, "breaking_capacities"):
        highest[rating["kind"]] = max(exact(rating["current"]), highest.get(rating["kind"], Fraction(0)))
    if drawing.parts[id]["kind"] == "fuse":
        return current <= highest.get("fuse", 0)
    service = drawing.switches.get("service_breaking_capacity")
    industrial = highest.get("ics" if service else "icu")
    household = highest.get("icn")
    if service and industrial is None:
        return False
    if industrial is not None and drawing.switches.get("skilled_persons_only"):
        return current <= industrial
    asked = [capacity for capacity in (industrial, household) if capacity is not None]
    return bool(asked) and all(current <= capacity for capacity in asked)


def _named(drawing: Wired, device: str | None, told: Part) -> bool:
    """Whether a device is the one that a tested combination names."""
    part = drawing.parts[device or ""]
    if part["kind"] != told["device"]:
        return False
    fitted = exact(part["ampere_rating"]) if "ampere_rating" in part else None
    if "max_ampere_rating" in told and (fitted is None or fitted > exact(told["max_ampere_rating"])):
        return False
    if told["device"] == "circuit_breaker":
        return "parts" not in told or part.get("part") in told["parts"]
    if part.get("utilization_category") in told.get("utilization_categories", []):
        return True
    by_class = part.get("fuse_class") in told.get("fuse_classes", [])
    return by_class and not sits_in_open_holder(drawing, part["id"])


def _errors(drawing: Wired) -> list[tuple[str, str]]:
    found = []
    for part in drawing.parts:
        direct = part in counted(drawing) and any(circuit.dc for circuit in judged_at(drawing, part))
        for device in _ends_behind(drawing, part):
            if device is None:
                found.append(_without_device(drawing, part))
            elif "ahead" in drawing.parts[device] and not stands(drawing, device, 1):
                found.append(("upstream-not-relied-on", device.removeprefix("ahead of ")))
        if direct:
            found.append(("dc-not-covered", part))
        elif part in counted(drawing) and not stands(drawing, part, 1):
            found.append(("no-breaking-capacity" if is_ocpd(drawing, part) else "no-rating", part))
    return found


def _without_device(drawing: Wired, end: str) -> tuple[str, str]:
    """What is wrong with a branch without a device; a supplementary protector on it is named in its place."""
    line_side = [step.id for path in paths(drawing, end) for step in reversed(path) if step.id in drawing.parts]
    for part in (end, *line_side):
        if drawing.parts[part]["kind"] == "supplementary_protector":
            return ("supplementary-protector-as-branch", part)
    return ("unprotected-branch", end)


def _ends_behind(drawing: Wired, id: str) -> list[str | None]:
    """The last device on each path, where a circuit ends here; None for a path without one."""
    part = drawing.parts[id]
    feeds_on = any(feed.id == id for feeds in drawing.feeds.values() for feed in feeds)
    if feeds_on or is_ocpd(drawing, id) or "ahead" in part:
        return []
    devices = [nearest_ocpd(drawing, path) for path in paths(drawing, id)]
    return [device for device in devices if device is not None or part["kind"] not in MEASURING_TAPS]


__all__ = ["Verdict", "fallen", "fits", "stands", "verdict"]
