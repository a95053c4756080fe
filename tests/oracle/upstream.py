"""What stands upstream of a panel, drawn at random, and the current that it makes available, worked out by itself.

R and X are summed in milliohms at the voltage of the supply, the way of a hand calculation: everything is referred to
the end of the chain at once, where the engine walks from the utility on. Ohmic method, sixty hertz.
"""

import re
from math import acos
from math import ceil
from math import exp
from math import hypot
from math import pi
from math import sqrt
from math import tan
from typing import Any

from tests.oracle.choosing import Chooser
from tests.oracle.sites import Site

#: Copper in a raceway, from NEC Chapter 9, Table 9: R at 75 °C and X, ohms per thousand feet, in PVC and in steel.
TABLE_9 = {
    "1/0 AWG": {"pvc": (0.12, 0.044), "steel": (0.12, 0.055)},
    "3/0 AWG": {"pvc": (0.077, 0.042), "steel": (0.079, 0.052)},
    "250 kcmil": {"pvc": (0.052, 0.041), "steel": (0.054, 0.052)},
    "500 kcmil": {"pvc": (0.027, 0.039), "steel": (0.029, 0.048)},
}
COLD = 1 + 0.00323 * (25 - 75)
PRIMARY = 13_800.0

Ohms = tuple[float, float]


def number(text: str) -> float:
    match = re.match(r"[0-9.]+", text)
    assert match is not None
    return float(match[0])


def random_source(choose: Chooser, site: Site) -> dict[str, Any]:
    """A source of a supply that stands on a site, of three phases or one."""
    source = random_chain(choose, site)
    if choose.chance(15):
        source["alternates"] = [random_chain(choose, site)]
    return source


def random_chain(choose: Chooser, site: Site) -> dict[str, Any]:
    phases = 3 if site.conductors == 3 else 1
    if phases == 3 and choose.chance(20):
        available = choose.pick(("22 kA", "9.5 kA", "42 kA", "65 kA"))
        chain: dict[str, Any] = {"utility": {"available": available, "voltage": site.voltage}, "elements": []}
    else:
        available = choose.pick(("500 MVA", "100 MVA", "1500 MVA", "40 MVA"))
        chain = {"utility": {"available": available, "voltage": "13.8 kV"}, "elements": [transformer(choose, site)]}
    if choose.chance(80):
        chain["utility"]["x_over_r"] = choose.pick((8, 4, 15, 2.5))
    motors = phases == 3 and choose.chance(25)
    for _ in range(choose.pick((1, 0, 2, 3))):
        if motors and choose.chance(60):
            current = choose.pick(("100 A", "340 A", "25 A"))
            chain["elements"].append({"motors": {"full_load_current": current, "contribution": 4, "x_over_r": 5}})
        chain["elements"].append({"conductor": run(choose)})
    return chain


def transformer(choose: Chooser, site: Site) -> dict[str, Any]:
    phases = 3 if site.conductors == 3 else 1
    plate: dict[str, Any] = {
        "kva": choose.pick(("500 kVA", "75 kVA", "1500 kVA", "225 kVA") if phases == 3 else ("50 kVA", "25 kVA")),
        "primary": "13.8 kV",
        "secondary": site.voltage,
        "phases": phases,
        "impedance": choose.pick(("5.75 %", "5 %", "2.1 %", "3.5 %")),
    }
    tolerance = choose.pick(("10 %", "0 %", "7.5 %", None, "measured"))
    if tolerance == "measured":
        plate["measured"] = True
    elif tolerance is not None:
        plate["impedance_tolerance"] = tolerance
    if choose.chance(80):
        plate["x_over_r"] = choose.pick((5, 2, 8, 1.5))
    return {"transformer": plate}


def run(choose: Chooser) -> dict[str, Any]:
    found: dict[str, Any] = {"material": "copper", "length": choose.pick(("60 ft", "12 ft", "250 ft", "400 ft"))}
    if choose.chance(40):
        stated = {"resistance": choose.pick(("0.16 ohm/kft", "0.05 ohm/kft")), "reactance": "0.05 ohm/kft"}
        found |= {**stated, "resistance_temperature": "25 °C"}
    else:
        found |= {"size": choose.pick(tuple(TABLE_9)), "conduit": choose.pick(("steel", "pvc"))}
    if choose.chance(40):
        found["sets"] = choose.pick((2, 3))
    return found


def available(source: dict[str, Any], voltage: str, *, phases: int) -> int:
    """The fault current that a source makes available [A], rounded up: of every state and kind of fault the highest."""
    chains = [source, *source.get("alternates", ())]
    return max(ceil(round(highest_fault(chain, voltage, phases)[0], 6)) for chain in chains)


def highest_fault(chain: dict[str, Any], voltage: str, phases: int) -> tuple[float, float]:
    """Current [A] and X/R of the fault that draws the most at the end of a chain."""
    return max(faults(chain, voltage, phases))


def faults(chain: dict[str, Any], voltage: str, phases: int) -> list[tuple[float, float]]:
    """Each kind of fault at the end of a chain: its current [A] and X/R."""
    line = number(voltage)
    one, neutral = sequence(chain, line, phases)
    if phases == 3:
        loops = [(line / sqrt(3), one), (line, times(2, one))]
        if neutral is not None and "Y" in voltage:
            loops.append((sqrt(3) * line, add(times(2, one), neutral)))
        return [(drive / hypot(*ohms), ratio(ohms)) for drive, ohms in loops]
    loops = [(line, one)]
    if neutral is not None and "/" in voltage:
        loops.append((line / 2, neutral))
    return [(drive / hypot(*ohms), ratio(ohms)) for drive, ohms in loops]


def sequence(chain: dict[str, Any], line: float, phases: int) -> tuple[Ohms, Ohms | None]:
    """Z1 and Z0 a phase at the end of a chain of three phases; of one, the loops line to line and line to neutral."""
    one, other = utility(chain["utility"], line)
    for element in chain["elements"]:
        if "transformer" in element:
            one, other = behind(element["transformer"], line, one)
        elif "motors" in element:
            current = number(element["motors"]["full_load_current"]) * element["motors"]["contribution"]
            one = beside(one, divided(line / sqrt(3) / current, element["motors"]["x_over_r"]))
        else:
            wire = conductor(element["conductor"])
            one = add(one, wire if phases == 3 else times(2, wire))
            other = add(other, times(4 if phases == 3 else 2, wire))  # out, and back three times in zero sequence
    return one, other


def utility(stated: dict[str, Any], line: float) -> tuple[Ohms, Ohms]:
    """What the utility is at the voltage of the supply; as much to ground as of three phases, where it is there."""
    own = number(stated["voltage"]) * (1000 if stated["voltage"].endswith("kV") else 1)
    level = number(stated["available"])
    amperes = level * 1e6 / (sqrt(3) * own) if stated["available"].endswith("MVA") else level * 1e3
    ohms = divided(own / sqrt(3) / amperes, stated.get("x_over_r"))
    referred = times((line / own) ** 2, ohms)
    return referred, referred


def behind(plate: dict[str, Any], line: float, ahead: Ohms) -> tuple[Ohms, Ohms]:
    """Z1 and Z0 behind a delta-wye transformer; or the loops of a single-phase one between two lines, and its half."""
    tolerance = 0.0 if plate.get("measured") else number(plate.get("impedance_tolerance", "10 %"))
    magnitude = number(plate["impedance"]) / 100 * (1 - tolerance / 100) * line**2 / (number(plate["kva"]) * 1e3)
    own = divided(magnitude, plate.get("x_over_r"))
    if plate["phases"] == 3:
        return add(ahead, own), own
    loop = times(2, ahead)
    half = (1.5 * own[0] / 4, 1.2 * own[1] / 4)
    return add(loop, own), add(times(1 / 4, loop), half)


def conductor(stated: dict[str, Any]) -> Ohms:
    if "size" in stated:
        resistance, reactance = TABLE_9[stated["size"]][stated["conduit"]]
        resistance *= COLD
    else:
        resistance, reactance = number(stated["resistance"]), number(stated["reactance"])
    return times(number(stated["length"]) / 1000 / stated.get("sets", 1), (resistance, reactance))


def divided(magnitude: float, x_over_r: float | None) -> Ohms:
    if x_over_r is None:
        return 0.0, magnitude
    resistance = magnitude / hypot(1, x_over_r)
    return resistance, resistance * x_over_r


def add(one: Ohms, other: Ohms) -> Ohms:
    return one[0] + other[0], one[1] + other[1]


def times(factor: float, ohms: Ohms) -> Ohms:
    return factor * ohms[0], factor * ohms[1]


def beside(one: Ohms, other: Ohms) -> Ohms:
    """Two impedances in parallel, by their admittances."""
    g = [ohms[0] / (ohms[0] ** 2 + ohms[1] ** 2) for ohms in (one, other)]
    b = [ohms[1] / (ohms[0] ** 2 + ohms[1] ** 2) for ohms in (one, other)]
    square = sum(g) ** 2 + sum(b) ** 2
    return sum(g) / square, sum(b) / square


def ratio(ohms: Ohms) -> float:
    return ohms[1] / ohms[0] if ohms[0] else float("inf")


def duty(source: dict[str, Any], voltage: str, *, phases: int, interrupting: float) -> float:
    """The current that a breaker of an interrupting rating [A] is to be held to, for its test at a power factor.

    UL 489: 0.5 up to 10 kA, 0.3 up to 20 kA, 0.2 above.
    """
    power_factor = 0.5 if interrupting <= 10_000 else 0.3 if interrupting <= 20_000 else 0.2
    test = 1 + exp(-pi / tan(acos(power_factor)))
    chains = [source, *source.get("alternates", ())]
    every = [fault for chain in chains for fault in faults(chain, voltage, phases)]
    return max(ceil(current) * max(1.0, (1 + exp(-pi / x_over_r)) / test) for current, x_over_r in every)
