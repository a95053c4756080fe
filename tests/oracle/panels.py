"""Random valid panel documents, put together piece by piece.

The same construction serves a seed (``random_panel``, thousands a minute) and
hypothesis (``panels``, which shrinks what it finds).
"""

from dataclasses import replace
from typing import Any

from hypothesis import strategies as st

from tests.oracle.branches import BranchStock
from tests.oracle.choosing import Chooser
from tests.oracle.choosing import seeded
from tests.oracle.pieces import CLASS_SIZES
from tests.oracle.pieces import Outlet
from tests.oracle.pieces import Part
from tests.oracle.sites import SINGLE_PHASE_SECONDARIES
from tests.oracle.sites import SUPPLY_SITES
from tests.oracle.sites import THREE_PHASE_SECONDARIES
from tests.oracle.sites import Site
from tests.oracle.upstream import random_source

DISTRIBUTION = ("power_distribution_block", "bus_bar", "terminal_block", "meter_socket")


class Panel(BranchStock):
    """A panel that grows by one move at a time."""

    def __init__(self, choose: Chooser) -> None:
        super().__init__(choose)
        self.supplies: list[Part] = []
        self.outlets: list[Outlet] = []
        self.level = choose.pick(("middle", "high", "high", "high", "high", "high", "middle", "high", "low"))

    def supply(self, site: Site) -> None:
        """A supply, perhaps protected ahead of the panel, and the panel's main devices."""
        choose, name = self.choose, f"S{len(self.supplies) + 1}"
        supply: Part = {"id": name, "voltage": site.voltage, "system": site.system}
        supply["phases"] = 3 if site.conductors == 3 else 1
        if site.wires:
            supply["wires"] = site.wires
        self.available(supply, site)
        self.supplies.append(supply)
        outlet = Outlet((name,), site, site.conductors, None, self.level)
        if choose.chance(15) and not site.dc:
            protection = self.upstream(outlet)
            supply["upstream_protection"] = protection
            outlet = replace(outlet, guard={**protection, "kind": protection["device"]})
        self.main(outlet)

    def available(self, supply: Part, site: Site) -> None:
        """Perhaps what the site delivers: as a current, as what stands upstream, or as both."""
        if self.choose.chance(20):
            supply["available_fault_current"] = f"{self.choose.pick((10, 5, 22, 42, 65))} kA"
        if self.choose.chance(30) and not site.dc:
            supply["source"] = random_source(self.choose, site)

    def upstream(self, outlet: Outlet) -> Part:
        """A field-installed device that the rating may rely on."""
        choose = self.choose
        if choose.chance(25):
            found = {"device": "circuit_breaker", "part": "MB-30", "ampere_rating": "200 A"}
            return {**found, "interrupting_ratings": [self.rating(outlet, choose.pick((65, 18)))]}
        fuse_class = choose.pick(("J", "RK1", "T", "L", "J"))
        size = choose.pick(CLASS_SIZES[fuse_class])
        fuse: Part = {"device": "fuse", "fuse_class": fuse_class, "ampere_rating": f"{size} A"}
        if choose.chance(40):
            fuse["interrupting_ratings"] = [self.rating(outlet, choose.pick((100, 50, 22, 14)))]
        return fuse

    def main(self, outlet: Outlet) -> None:
        """Disconnect, main OCPD and distribution, each of them or not."""
        choose, outlet = self.choose, self.stout(outlet)
        if choose.chance(30):
            switch = self.withstand("disconnect_switch", outlet)
            outlet = outlet.below(switch)
        if choose.chance(60 if outlet.guard else 85):
            outlet = self.protect(outlet, feeder=True)
        elif outlet.guard:
            self.load(replace(outlet, level=self.level))
        self.distribute(outlet)

    def stout(self, outlet: Outlet) -> Outlet:
        """The feeder's own parts get no credit: in most panels they are strong ones."""
        return replace(outlet, level="stout") if self.choose.chance(85) else outlet

    def distribute(self, outlet: Outlet) -> None:
        """Perhaps a block or bus, and a first branch so that nothing ends in the air."""
        if self.choose.chance(45):
            outlet = outlet.below(self.withstand(self.choose.pick(DISTRIBUTION), outlet))
        outlet = replace(outlet, level=self.level)
        self.outlets.append(outlet)
        self.branch(outlet)

    def sub_feeder(self, outlet: Outlet) -> None:
        """One more current-limiting device in line, with branches of its own."""
        self.distribute(self.protect(self.stout(outlet), feeder=True))

    def transformer(self, outlet: Outlet) -> None:
        """A power transformer with secondary protection, or once in a while without."""
        choose = self.choose
        phases = 3 if outlet.conductors == 3 and choose.chance(30) else 1
        sites = [choose.pick(THREE_PHASE_SECONDARIES if phases == 3 else SINGLE_PHASE_SECONDARIES)]
        if choose.chance(15):
            sites.append(choose.pick(SINGLE_PHASE_SECONDARIES if phases == 1 else sites))
        written: Part = {"kva": choose.pick(("5 kVA", "2 kVA", "10 kVA", "7.5 kVA", "15 kVA", "45 kVA"))}
        written["primary"] = f"{outlet.site.line} V"
        written["secondary"] = [s.voltage for s in sites] if len(sites) > 1 else sites[0].voltage
        if choose.chance(65):
            written["impedance"] = choose.pick(("2.1 %", "3 %", "4 %", "5.75 %", "1.5 %"))
        if choose.chance(6):
            written["isolated"] = False
        primary = outlet if choose.chance(6) else self.protect(outlet, feeder=False)
        part = self.add("T", "transformer", primary, phases=phases, transformer=written)
        self.secondaries(part, sites)

    def secondaries(self, part: Part, sites: list[Site]) -> None:
        """A branch or two behind each winding."""
        for number, site in enumerate(sites, start=1):
            name = part["id"] if len(sites) == 1 else f"{part['id']}/{number}"
            outlet = Outlet((name,), site, site.conductors, None, "secondary")
            if self.choose.chance(10):
                self.load(outlet)
            else:
                self.branch(outlet)
            if self.choose.chance(20):
                self.outlets.append(outlet)

    def transfer(self, outlet: Outlet) -> None:
        """A load that two outlets of the same voltage can feed."""
        same = [o for o in self.outlets if o.site == outlet.site]
        other = self.choose.pick(same or [outlet])
        ways = [self.protect(o, feeder=False) for o in (outlet, other)]
        both = replace(ways[0], feeds=(ways[0].feeds[0], ways[1].feeds[0]))
        both = both.below(self.withstand(self.choose.pick(("switch", "contactor")), both))
        self.load(both)

    def grow(self) -> None:
        """One move somewhere in the panel."""
        choose, outlet = self.choose, self.choose.pick(self.outlets)
        moves = [self.branch] * 6 + [self.control, self.control, self.taps, self.own_load]
        if not outlet.site.dc:
            moves += [self.sub_feeder] * 2 + [self.transfer]
            if outlet.site.line > 120:
                moves += [self.transformer] * 3
            if outlet.site.system != "single_phase_two_wire":
                moves.append(self.single_poles)
        choose.pick(moves)(outlet)

    def document(self) -> dict[str, Any]:
        """The finished panel document."""
        document: dict[str, Any] = {
            "format": "panel/1",
            "panel": {"designation": "Grain dryer panel"},
            "supplies": self.supplies,
            "components": self.components,
        }
        options = {}
        if self.choose.chance(20):
            options["credit_feeder_components"] = True
        if self.choose.chance(12):
            options["transformer_impedance_credit"] = False
        return {**document, "options": options} if options else document


def build(choose: Chooser) -> dict[str, Any]:
    """A panel of 3 to about 25 components."""
    panel, site = Panel(choose), choose.pick(SUPPLY_SITES)
    panel.supply(site)
    if choose.chance(15):
        panel.supply(site if choose.chance(70) else choose.pick(SUPPLY_SITES))
    size = choose.pick((4, 6, 8, 10, 12, 16, 20))
    while len(panel.components) < size:
        panel.grow()
    return panel.document()


def random_panel(seed: int) -> dict[str, Any]:
    """The same panel for the same seed."""
    return build(seeded(seed))


_BELOW = {count: st.integers(0, count - 1) for count in range(1, 101)}


@st.composite
def panels(draw: st.DrawFn) -> dict[str, Any]:
    """Panels for hypothesis, built by the same moves."""
    return build(Chooser(lambda count: draw(_BELOW[count])))
