"""Random panels for IEC 61439-2, of three to about twenty parts, as documents."""

from dataclasses import replace
from math import ceil
from math import sqrt
from typing import Any

from hypothesis import strategies as st

from tests.oracle.choosing import Chooser
from tests.oracle.choosing import seeded
from tests.oracle_iec.stock import CONDUCTORS
from tests.oracle_iec.stock import CONTROLLERS
from tests.oracle_iec.stock import DIRECT
from tests.oracle_iec.stock import SINGLE
from tests.oracle_iec.stock import SITES
from tests.oracle_iec.stock import WIRED
from tests.oracle_iec.stock import Outlet
from tests.oracle_iec.stock import Part
from tests.oracle_iec.stock import Site
from tests.oracle_iec.stock import Stock
from tests.oracle_iec.tables import LEAST_IMPEDANCE
from tests.oracle_iec.tables import VOLTAGE_FACTOR
from tests.oracle_iec.wiring import exact

EDITION = "IEC 61439-2:2020"
#: Nameplates at the edges of the small transformers that need no verification, and of others.
SINGLE_SECONDARIES = (
    ("230 V", ("230 V", "240 V", "400 V"), 230),
    ("110 V", ("110 V", "230 V"), 110),
    ("109 V", ("110 V", "230 V"), 109),
    ("24 V", ("24 V", "230 V"), 24),
)
SINGLE_POWERS = ("1.6 kVA", "10 kVA", "1601 VA", "10.1 kVA", "0.5 kVA", "5 kVA", "25 kVA")
THREE_POWERS = ("10 kVA", "25 kVA", "63 kVA", "160 kVA", "5 kVA")
IMPEDANCES = ("4 %", "3.99 %", "5 %", "2.5 %", "6 %")


def edge(plate: Part, site: Site) -> int | None:
    """What a winding delivers at most [mA], rounded up: from an infinite source, by its nameplate."""
    if not {"kva", "impedance"} <= plate.keys():
        return None
    exactly = VOLTAGE_FACTOR * exact(plate["kva"]) * 100_000 / (site.line * exact(plate["impedance"]) * LEAST_IMPEDANCE)
    return ceil(float(exactly) / (sqrt(3) if site.phases == 3 else 1))


class PanelStock(Stock):
    """The stock, with whole circuits."""

    def __init__(self, choose: Chooser) -> None:
        super().__init__(choose)
        self.supplies: list[Part] = []
        self.outlets: list[Outlet] = []

    def supply(self, site: Site) -> None:
        """A supply, what stands ahead of it, and the incoming side of the panel."""
        choose = self.choose
        part: Part = {"id": f"S{len(self.supplies) + 1}", "voltage": site.voltage, "system": site.system}
        self.supplies.append(part)
        outlet = Outlet((part["id"],), site)
        if choose.chance(25):
            part["available_fault_current"] = f"{choose.pick((10, 5, 20, 50, 36))} kA"
        if choose.chance(20):
            outlet = self.upstream(part, outlet)
        if choose.chance(35):
            outlet = outlet.below(self.wired(choose.pick(("disconnect_switch", *CONDUCTORS)), outlet))
        if not (self.sloppy and choose.chance(15)) and (choose.chance(90) or outlet.guard is None):
            outlet = self.protect(outlet)
        if choose.chance(45):
            outlet = outlet.below(self.wired(choose.pick(CONDUCTORS), outlet))
        self.outlets.append(outlet)
        self.branch(outlet)

    def upstream(self, supply: Part, outlet: Outlet) -> Outlet:
        """A device in the field that the rating may rely on."""
        stock = Stock(self.choose)
        behind = stock.breaker(outlet) if self.choose.chance(50) else stock.fuse(outlet)
        device = stock.components[-1]
        kept = ("part", "ampere_rating", "fuse_class", "utilization_category", "breaking_capacities", "let_through")
        found = {"device": device["kind"], **{k: v for k, v in device.items() if k in (*kept, "clearing_time")}}
        supply["upstream_protection"] = found
        return replace(behind, feeds=outlet.feeds)

    def branch(self, outlet: Outlet) -> None:
        """A protective device and what it protects."""
        choose, fields = self.choose, {}
        if outlet.site.phases == 3 and choose.chance(20):
            fields = {"poles": choose.pick((1, 1, 2))}
        below = self.breaker(outlet, **fields) if fields else outlet if self.slips() else self.protect(outlet)
        self.load(below)

    def load(self, outlet: Outlet) -> None:
        """What a branch feeds, and often the load behind it."""
        choose = self.choose
        for _ in range(choose.pick((1, 2, 1, 0, 3))):
            kind = choose.pick((*CONTROLLERS, *CONDUCTORS, *CONDUCTORS, *WIRED, "supplementary_protector"))
            fields: Part = {}
            if choose.chance(4):
                fields["exempt"] = {"reason": "not in the fault path", "reference": "drawing 4"}
            if choose.chance(10):
                fields["circuit"] = "control"
            outlet = outlet.below(self.wired(kind, outlet, **fields))
            if kind == "drive" and choose.chance(60):
                self.add("K", "contactor", outlet, position="drive_output")
        if choose.chance(60):
            kind = choose.pick(("heater", "load", "motor"))
            if choose.chance(15):  # one that is wired in the panel counts
                self.wired(kind, outlet, location="panel")
            else:
                self.add("M", kind, outlet, **({"location": "field"} if choose.chance(30) else {}))

    def transformer(self, outlet: Outlet) -> None:
        """A transformer with its primary protection, and circuits behind each winding."""
        choose = self.choose
        three = outlet.site.phases == 3 and not outlet.neutral and choose.chance(35)
        plate: Part = {"kva": choose.pick(THREE_POWERS if three else SINGLE_POWERS)}
        if choose.chance(85):
            plate["primary"] = f"{outlet.site.line} V"
        sites = [self.secondary(three)]
        if not three and choose.chance(15):
            sites.append(self.secondary(three))
        plate["secondary"] = [site.voltage for site in sites] if len(sites) > 1 else sites[0].voltage
        if choose.chance(85):
            plate["impedance"] = choose.pick(IMPEDANCES)
        if choose.chance(8):
            del plate["kva"]
        if choose.chance(6):
            plate["isolated"] = False
        ahead = self.protect(outlet)
        part = self.add("T", "transformer", ahead, phases=3 if three else 1, transformer=plate)
        for number, site in enumerate(sites, start=1):
            name = part["id"] if len(sites) == 1 else f"{part['id']}/{number}"
            guard = ahead.guard if not self.careful and choose.chance(50) else None  # on the wrong side: not to count
            self.behind_winding(Outlet((name,), site, guard), edge(plate, site))

    def behind_winding(self, outlet: Outlet, delivered: int | None) -> None:
        """Secondary protection, now and then at what the winding delivers or just below; or plain conductors only."""
        if delivered is not None and self.choose.chance(40):
            breaks = f"{delivered - self.choose.pick((0, 1))} mA"
            mark = {"voltage": outlet.site.straight[0], "current": breaks, "kind": "icu"}
            part = self.add(
                "Q", "circuit_breaker", outlet, part="GB-1", ampere_rating="16 A", breaking_capacities=[mark]
            )
            self.load(self.behind(outlet, part))
            return
        if self.choose.chance(25):
            block = self.wired(self.choose.pick(CONDUCTORS), outlet)
            outlet = outlet.below(block)
            if self.choose.chance(30):
                return
        self.branch(outlet)
        if self.choose.chance(20):
            self.outlets.append(outlet)

    def secondary(self, three: bool) -> Site:
        """The voltage of a winding."""
        if three:
            wye = "solidly_grounded_wye"
            return self.choose.pick(
                (
                    Site("230/400 V", wye, ("400 V", "415 V"), 400, ("230/400 V",), "230 V"),
                    Site("400 V", "ungrounded_delta", ("400 V",), 400),
                )
            )
        if self.choose.chance(10):  # the hardest fault is that of a half
            return Site("240/120 V", "single_phase_three_wire", ("240 V",), 120, ("240/120 V",), phases=1)
        voltage, straight, line = self.choose.pick(SINGLE_SECONDARIES)
        return Site(voltage, SINGLE.system, straight, line, phases=1)

    def transfer(self, outlet: Outlet) -> None:
        """A load that two devices can feed."""
        same = [o for o in self.outlets if o.site == outlet.site]
        other = self.choose.pick(same or [outlet])
        ways = [self.protect(o) for o in (outlet, other)]
        both = replace(ways[0], feeds=(ways[0].feeds[0], ways[1].feeds[0]))
        part = self.wired(self.choose.pick(("switch", "contactor", *CONDUCTORS)), both)
        if part["kind"] not in CONDUCTORS:
            self.surely(part, ways[1])
        self.load(both.below(part) if self.choose.chance(50) else ways[0].below(part))

    def taps(self, outlet: Outlet) -> None:
        """Measuring and surge protection."""
        kind = self.choose.pick(("current_transformer", "voltmeter", "surge_protective_device", "varistor"))
        tap = self.wired(kind, outlet)
        if kind == "current_transformer":
            self.add("P", "current_meter", outlet.below(tap))
            if self.choose.chance(50):
                self.wired("current_meter", outlet, position="behind_current_transformer")

    def grow(self) -> None:
        """One move somewhere in the panel."""
        outlet = self.choose.pick(self.outlets)
        moves = [self.branch] * 6 + [self.taps]
        if outlet.site.system != "dc":
            moves += [self.transfer]
            moves += [self.transformer] * 2 if outlet.site.line >= 230 else []
        if outlet.guard is not None:
            moves.append(self.load)
        self.choose.pick(moves)(outlet)

    def options(self) -> Part:
        """Each option at its default, as a rule."""
        choose, found = self.choose, {}
        if choose.chance(15):
            found["service_breaking_capacity"] = True
        if choose.chance(20):
            found["skilled_persons_only"] = True
        if choose.chance(15):
            found["coordination"] = 2
        return found


def build(choose: Chooser) -> dict[str, Any]:
    """A panel document."""
    panel = PanelStock(choose)
    site = choose.pick(SITES) if not choose.chance(1) else DIRECT
    panel.supply(site)
    if choose.chance(18):
        panel.supply(site if choose.chance(70) else choose.pick(SITES))
    size = choose.pick((3, 5, 7, 9, 12, 16))
    while len(panel.components) < size:
        panel.grow()
    document: dict[str, Any] = {
        "format": "panel/1",
        "edition": EDITION,
        "panel": {"designation": "Grain elevator panel"},
        "supplies": panel.supplies,
        "components": panel.components,
    }
    options = panel.options()
    return {**document, "options": options} if options else document


def random_panel(seed: int) -> dict[str, Any]:
    """The same panel for the same seed."""
    return build(seeded(seed))


_BELOW = {count: st.integers(0, count - 1) for count in range(1, 101)}


@st.composite
def panels(draw: st.DrawFn) -> dict[str, Any]:
    """Panels for hypothesis, built by the same moves."""
    return build(Chooser(lambda count: draw(_BELOW[count])))
