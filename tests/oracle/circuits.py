"""The circuit that a device sits in, and whether a rating serves there (rulebook R6)."""

from dataclasses import dataclass
from decimal import ROUND_CEILING
from decimal import Decimal
from typing import Any

from tests.oracle.quantities import Volts
from tests.oracle.quantities import milliamperes
from tests.oracle.quantities import volts
from tests.oracle.tables import FUSE_CLASS_KA
from tests.oracle.tables import KILOAMPERE

NOMINAL_PAIRS = {208: 120, 240: 139, 380: 220, 400: 230, 415: 240, 480: 277, 600: 347, 690: 400}
WYE = "solidly_grounded_wye"
THREE_WIRE = "single_phase_three_wire"


@dataclass(frozen=True)
class Circuit:
    """What reaches a device: zone (supply or winding), system, volts, conductors."""

    zone: str
    system: str
    line: Decimal
    ground: Decimal | None
    volts: Decimal
    conductors: int
    wires: int | None

    @property
    def dc(self) -> bool:
        return self.system == "dc"

    @property
    def has_neutral(self) -> bool:
        """Whether a single pole takes the line-to-neutral voltage."""
        return self.system == THREE_WIRE or (self.system == WYE and self.wires != 3)


def circuit_of(zone: str, written: Volts, system: str, phases: int, wires: int | None) -> Circuit:
    """The circuit at the terminals of a supply or of a transformer winding."""
    ground = None
    if system == WYE:
        ground = written.ground if written.wye else wye_ground(written.line)
    elif system == THREE_WIRE:
        ground = written.ground or written.line / 2
    conductors = 3 if phases == 3 else 2
    return Circuit(zone, system, written.line, ground, written.line, conductors, wires)


def wye_ground(line: Decimal) -> Decimal:
    """The nominal line-to-ground voltage of a wye that is named by its line voltage."""
    nominal = NOMINAL_PAIRS.get(int(line))
    if nominal is not None and line == int(line):
        return Decimal(nominal)
    return (line / Decimal(3).sqrt()).to_integral_value(ROUND_CEILING)


def supply_circuit(supply: dict[str, Any]) -> Circuit:
    """The circuit of one supply of the document."""
    system = supply["system"]
    single = system.startswith("single_phase") or system == "dc"
    phases = supply.get("phases", 1 if single else 3)
    return circuit_of(supply["id"], volts(supply["voltage"]), system, phases, supply.get("wires"))


def voltage_serves(written: Volts, circuit: Circuit) -> bool:
    """R6: straight ratings by volts, slash ratings only on the system they fit."""
    if written.ground is None:
        return written.line >= circuit.volts
    fits = circuit.system == (WYE if written.wye else THREE_WIRE)
    return fits and circuit.ground is not None and circuit.line <= written.line and circuit.ground <= written.ground


def rating_serves(rating: dict[str, Any], circuit: Circuit) -> bool:
    """Whether a marked rating (voltage, alternating or direct current) serves."""
    if (rating.get("supply") == "dc") != circuit.dc:
        return False
    return voltage_serves(volts(rating["voltage"]), circuit)


def outside_rating(protection: dict[str, Any], circuit: Circuit) -> int | None:
    """IR of an upstream protection in milliamperes; None if it cannot be relied on."""
    marked = protection.get("interrupting_ratings", [])
    if marked:
        serving = [milliamperes(r["current"]) for r in marked if rating_serves(r, circuit)]
        return max(serving, default=None)
    if protection.get("device") == "fuse":
        return class_rating(protection, [circuit])
    return None


def class_rating(fuse: dict[str, Any], circuits: list[Circuit]) -> int | None:
    """R8: IR of an unmarked fuse by its class, on AC circuits of at most 600 V; class G above 20 A of at most 480 V."""
    fuse_class = fuse.get("fuse_class")
    small = "ampere_rating" in fuse and milliamperes(fuse["ampere_rating"]) <= 20_000
    if fuse_class == "G" and not small and any(c.line > 480 for c in circuits):
        return None
    if fuse_class not in FUSE_CLASS_KA or any(c.dc or c.line > 600 for c in circuits):
        return None
    if fuse_class == "miniature" and any(c.volts > 125 for c in circuits):
        return None
    return int(FUSE_CLASS_KA[fuse_class] * KILOAMPERE)
