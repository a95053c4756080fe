"""Step A: what each component is worth by itself (rulebook section 3), in milliamperes."""

from typing import Any
from typing import NamedTuple

from tests.oracle.circuits import class_rating
from tests.oracle.circuits import rating_serves
from tests.oracle.combinations import holds_current
from tests.oracle.combinations import sits_in_open_holder
from tests.oracle.drawing import CONTROLLERS
from tests.oracle.drawing import Drawing
from tests.oracle.drawing import below
from tests.oracle.drawing import guards
from tests.oracle.drawing import once
from tests.oracle.narrowing import judged_at
from tests.oracle.quantities import horsepower
from tests.oracle.quantities import milliamperes
from tests.oracle.quantities import scaled
from tests.oracle.quantities import volts
from tests.oracle.tables import ASSUMED_KA
from tests.oracle.tables import KILOAMPERE
from tests.oracle.tables import MERCURY_SWITCH_KA
from tests.oracle.tables import MOTOR_CONTROLLER_BANDS


class Worth(NamedTuple):
    """A value, whether it stands only by a tested combination, and what is marked without condition."""

    value: int
    tested: bool = False
    plain: int = 0


def marked_ratings(part: dict[str, Any]) -> list[dict[str, Any]]:
    return [*part.get("interrupting_ratings", []), *part.get("short_circuit_ratings", [])]


def serves(drawing: Drawing, id: str, rating: dict[str, Any]) -> bool:
    """A rating serves a part only in every circuit that reaches the part."""
    return all(rating_serves(rating, circuit) for circuit in judged_at(drawing, id))


@once
def step_a(drawing: Drawing, id: str) -> Worth | None:
    """The part's own value; None where it has none that may be used."""
    worth = own_worth(drawing, id)
    if worth is None:
        return None
    kind = drawing.parts[id]["kind"]
    if kind == "fuse" and sits_in_open_holder(drawing, id):
        return Worth(min(worth.value, 10 * KILOAMPERE))
    if kind == "circuit_breaker":
        return Worth(max([worth.value, *_series_currents(drawing, id, worth.value)]))
    return worth


@once
def own_worth(drawing: Drawing, id: str) -> Worth | None:
    """Marked, tested with what protects it, or assumed, in that order of right."""
    marked = marked_ratings(drawing.parts[id])
    serving = [rating for rating in marked if serves(drawing, id, rating)]
    plain = max((_current(r) for r in serving if "protected_by" not in r), default=0)
    tested = max((tested_worth(drawing, id, r) for r in serving if "protected_by" in r), default=0)
    if plain or tested:
        return Worth(max(plain, tested), tested > plain, plain)
    if not marked:
        return _worth(assumed(drawing, id))
    if not serving or any("protected_by" not in rating for rating in marked):
        return None  # an unconditional marking below the voltage: the table is no way out
    fallback = assumed(drawing, id)
    return None if fallback is None else Worth(min(fallback, max(map(_current, serving))))


def _current(rating: dict[str, Any]) -> int:
    return milliamperes(rating["current"])


def _worth(value: int | None) -> Worth | None:
    return None if value is None else Worth(value)


def tested_worth(drawing: Drawing, id: str, rating: dict[str, Any]) -> int:
    """R3: the tested current where the condition holds on every path, else nothing."""
    claims = []
    for guard in guards(drawing, id):
        claim = holds_current(drawing, guard, rating["protected_by"], _current(rating))
        guard_worth = None if guard is None else interrupting_rating(drawing, guard)
        if claim is None or guard_worth is None:
            return 0
        claims.append(min(claim, guard_worth))
    return min(claims)


def interrupting_rating(drawing: Drawing, id: str) -> int | None:
    """The IR of an OCPD, in the panel or ahead of it."""
    worth = step_a(drawing, id)
    return None if worth is None else worth.value


def _series_currents(drawing: Drawing, id: str, own: int) -> list[int]:
    """Tested UL 489 series ratings that hold on every path (rulebook section 5)."""
    currents = []
    for series in drawing.parts[id].get("series_ratings", []):
        if not series.get("reference") or not serves(drawing, id, series):
            continue
        if all(_series_holds(drawing, id, guard, series, own) for guard in guards(drawing, id)):
            ahead = [g for g in guards(drawing, id) if g and "ahead" in drawing.parts[g]]
            relied_on = [interrupting_rating(drawing, guard) for guard in ahead]
            currents.append(min([_current(series), *(r for r in relied_on if r is not None)]))
    return currents


def _series_holds(drawing: Drawing, id: str, guard: str | None, series: dict[str, Any], own: int) -> bool:
    """Named devices only, and motors at most 1 % of the lower IR (NEC 240.86(C))."""
    if holds_current(drawing, guard, series["line_side"], _current(series), direct=True) is None:
        return False
    contributing = (below(drawing, guard) if guard else set()) - below(drawing, id)
    motors = [drawing.parts[p] for p in contributing if drawing.parts[p]["kind"] == "motor"]
    total = sum(milliamperes(m["full_load_current"]) for m in motors if "full_load_current" in m)
    return total * 100 <= own


@once
def assumed(drawing: Drawing, id: str) -> int | None:
    """Table SB4.1, or the class of a fuse; nothing is assumed on direct current."""
    part, circuits = drawing.parts[id], judged_at(drawing, id)
    if any(circuit.dc for circuit in circuits):
        return None
    if part["kind"] == "fuse":
        return class_rating(part, circuits)
    if part["kind"] in CONTROLLERS:
        return _in_milliamperes(_motor_controller_ka(part))
    if part["kind"] == "mercury_switch":
        return _in_milliamperes(_mercury_switch_ka(part))
    return _in_milliamperes(ASSUMED_KA.get(part["kind"]))


def _in_milliamperes(kiloamperes: float | None) -> int | None:
    return None if kiloamperes is None else int(kiloamperes * KILOAMPERE)


def _motor_controller_ka(part: dict[str, Any]) -> float | None:
    """The band of the stated power; kilowatts rise only at the table's own kW bounds."""
    if "horsepower" not in part:
        return MOTOR_CONTROLLER_BANDS[0][2]
    power, unit = horsepower(part["horsepower"])
    for up_to_hp, next_kw, ka in MOTOR_CONTROLLER_BANDS:
        if power <= up_to_hp if unit == "hp" else power < next_kw:
            return ka
    return None


def _mercury_switch_ka(part: dict[str, Any]) -> float:
    """By its marks; what is not marked is taken as the smallest."""
    over, middle, small = MERCURY_SWITCH_KA
    line = volts(part["voltage_rating"]).line if "voltage_rating" in part else 0
    amperes = scaled(part["ampere_rating"], "A", "kA") if "ampere_rating" in part else 0
    if line <= 250 and line * amperes <= 2000:
        return small  # over 60 A as well: two lines of the table then fit one of few volts, and the lower counts
    return over if line > 250 or amperes > 60 else middle
