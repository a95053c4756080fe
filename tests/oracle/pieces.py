"""Random components with random markings, the stock that random panels are built of."""

from dataclasses import dataclass
from dataclasses import replace
from typing import Any

from tests.oracle.choosing import Chooser
from tests.oracle.sites import Site

Part = dict[str, Any]

# Many of these are peaks of Table SB4.2, so that equality is met with often.
WITHSTANDS = {
    "low": (5, 5, 8, 10, 10, 12, 14, 16),
    "middle": (10, 10, 12, 14, 16, 16, 20, 22, 25),
    "high": (16, 20, 22, 25, 26, 30, 32, 50, 65),
    "stout": (65, 100, 200, 100, 200, 42, 300, 18),
    "secondary": (5, 5, 10, 10, 14, 22, 5, 2, 3),
}
INTERRUPTING = {
    "low": (10, 14, 18, 22, 35, 65),
    "middle": (14, 18, 22, 25, 35, 42, 65, 100),
    "high": (65, 100, 65, 100, 200, 150, 200, 35, 42),
    "stout": (65, 100, 100, 200, 200, 300, 42),
    "secondary": (5, 5, 10, 10, 22, 5, 5, 2),
}
UNMARKED = {"low": 30, "middle": 4, "high": 1, "stout": 0, "secondary": 10}  # per cent
TESTED = (18, 22, 30, 42, 50, 65, 65, 85, 100, 100, 200)
SIZES = (15, 20, 30, 60, 100, 200, 400, 600)
CLASS_SIZES: dict[str, tuple[int, ...]] = {
    "J": (30, 60, 100, 200, 25, 45, 90, 400, 600),
    "CC": (30, 15, 20, 10, 25),
    "RK1": (30, 60, 100, 200, 45, 400),
    "RK5": (30, 60, 100, 200, 45, 400),
    "T": (30, 60, 100, 200, 110, 400, 800, 1000),
    "CF": (30, 60, 100, 50),
    "G": (15, 20, 30, 60),
    "L": (800, 1200, 1000, 2500, 5000),
    "K5": (30, 60, 100),
    "K1": (30, 60),
    "H": (30, 60),
    "renewable": (30,),
    "midget": (10, 30),
    "miniature": (5, 10),
}
FEEDER_CLASSES = ("J", "J", "J", "J", "RK1", "RK5", "RK5", "T", "T", "CC", "CF", "G", "L", "K5")
GOOD_CLASSES = ("CC", "CC", "CC", "J", "J", "RK5", "RK1", "T", "G", "CF")
BRANCH_CLASSES = ("CC", "CC", "CC", "J", "J", "RK5", "RK1", "T", "G", "CF", "K5", "midget", "H")
HOLDER_CLASS = {"RK1": "R", "RK5": "R", "renewable": "H", "K1": "H", "K5": "H"}
HAS_ROW = {
    "bus_bar",
    "contactor",
    "overload_relay",
    "motor_starter",
    "manual_motor_controller",
    "combination_motor_controller",
    "soft_starter",
    "drive",
    "terminal_block",
    "power_distribution_block",
    "switch",
    "receptacle",
    "gfci_receptacle",
    "switch_unit",
    "fuseholder",
    "current_shunt",
    "meter_socket",
    "mercury_switch",
}
MOTOR_CONTROLLERS = {"contactor", "motor_starter", "soft_starter", "drive"}
POWERS = ("5 hp", "5 hp", "50 hp", "75 hp", "150 kW", "3.7 kW", "38 kW", "37.5 kW", "250 hp")


@dataclass(frozen=True)
class Outlet:
    """A place in the panel where something can be connected."""

    feeds: tuple[str, ...]
    site: Site
    conductors: int
    guard: Part | None
    level: str
    peaks: tuple[float, ...] = ()  # kA that the feeder device ahead lets through

    def below(self, part: Part) -> "Outlet":
        """The same circuit behind a part."""
        return replace(self, feeds=(part["id"],))


class Stock:
    """Makes components and keeps the list of them."""

    def __init__(self, choose: Chooser) -> None:
        self.choose = choose
        self.components: list[Part] = []
        self.sloppy = choose.chance(25)

    def slips(self) -> bool:
        """Whether to make a mistake here: seldom, and in some panels only."""
        return self.sloppy and self.choose.chance(6)

    def add(self, prefix: str, kind: str, outlet: Outlet, **fields: Any) -> Part:
        """Append a component and return it."""
        feeds = outlet.feeds[0] if len(outlet.feeds) == 1 else list(outlet.feeds)
        name = f"-{prefix}{len(self.components) + 1}"
        part = {"id": name, "kind": kind, "fed_from": feeds, **fields}
        self.components.append(part)
        return part

    def rating(self, outlet: Outlet, kiloamperes: float) -> Part:
        """A marking that serves at the outlet, as a rule."""
        choose, site = self.choose, outlet.site
        voltages = [*site.straight, *site.slash]
        if outlet.conductors == 1 and site.to_neutral:
            voltages.append(site.to_neutral)
        voltage = choose.pick(voltages)
        if self.slips():
            voltage = choose.pick(("480Y/277 V", "240/120 V", "120 V", "240 V"))
        exact = f"{kiloamperes * 1000:g} A" if choose.chance(5) else f"{kiloamperes:g} kA"
        direct = {"supply": "dc"} if site.dc and not self.slips() else {}
        return {"voltage": voltage, "current": exact, **direct}

    def withstand(self, kind: str, outlet: Outlet, **fields: Any) -> Part:
        """A component with a short-circuit current rating of one sort or another."""
        part = self.add("X", kind, outlet, **fields)
        ratings = self.ratings(kind, outlet)
        if ratings:
            part["short_circuit_ratings"] = ratings
        if kind in MOTOR_CONTROLLERS and self.choose.chance(40):
            part["horsepower"] = self.choose.pick(POWERS)
        if kind == "mercury_switch":
            part["ampere_rating"] = self.choose.pick(("8 A", "30 A", "100 A"))
            part["voltage_rating"] = self.choose.pick(outlet.site.straight)
        elif self.choose.chance(5) and not outlet.site.dc:
            part["voltage_rating"] = self.choose.pick(outlet.site.straight)
        return part

    def ratings(self, kind: str, outlet: Outlet) -> list[Part]:
        """Unmarked, unconditional, conditional, or both."""
        choose = self.choose
        has_row = kind in HAS_ROW and not outlet.site.dc
        if has_row and choose.chance(UNMARKED[outlet.level]):
            return []
        near_peak = outlet.level in ("middle", "high") and outlet.peaks and choose.chance(60)
        values = outlet.peaks if near_peak else WITHSTANDS[outlet.level]
        plain = self.rating(outlet, choose.pick(values))
        if not choose.chance(35):
            return [plain]
        tested = self.rating(outlet, choose.pick(TESTED))
        tested["protected_by"] = self.condition(outlet)
        if has_row and choose.chance(25):
            return [tested]
        return [plain, tested] if choose.chance(50) else [tested, plain]

    def condition(self, outlet: Outlet) -> Part:
        """What a combination was tested with: as a rule, what stands ahead here."""
        choose, guard = self.choose, outlet.guard
        fits = guard is not None and choose.chance(75)
        if guard is not None and fits and guard["kind"] == "circuit_breaker":
            parts = ["MB-99", guard["part"]] if choose.chance(30) else [guard["part"]]
            largest = guard["ampere_rating"]
            return {"device": "circuit_breaker", "parts": parts, "max_ampere_rating": largest}
        if choose.chance(20):
            parts, size = ["MB-98"], choose.pick(SIZES)
            return {"device": "circuit_breaker", "parts": parts, "max_ampere_rating": f"{size} A"}
        classes = [choose.pick(("J", "CC", "RK5", "RK1", "T", "G"))]
        size = choose.pick(SIZES)
        if guard is not None and fits and guard["kind"] == "fuse":
            if choose.chance(50):
                classes.append(guard["fuse_class"])
            fitted = int(guard["ampere_rating"].split()[0])
            size = choose.pick([s for s in SIZES if s >= fitted] or [fitted])
        return {"device": "fuse", "fuse_classes": classes, "max_ampere_rating": f"{size} A"}
