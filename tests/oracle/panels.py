"""Random valid panel documents, put together piece by piece.

The same construction serves a seed (``random_panel``, thousands a minute) and
hypothesis (``panels``, which shrinks what it finds).
"""

from dataclasses import replace
from typing import Any

from hypothesis import strategies as st

from tests.oracle.choosing import Chooser
from tests.oracle.choosing import seeded
from tests.oracle.pieces import CLASS_SIZES
from tests.oracle.pieces import Outlet
from tests.oracle.pieces import Part
from tests.oracle.protection import ProtectionStock
from tests.oracle.sites import SINGLE_PHASE_SECONDARIES
from tests.oracle.sites import SUPPLY_SITES
from tests.oracle.sites import THREE_PHASE_SECONDARIES
from tests.oracle.sites import Site

MOTOR_CHAINS = (
    ("contactor", "overload_relay"),
    ("motor_starter",),
    ("drive",),
    ("soft_starter", "contactor"),
    ("manual_motor_controller",),
    ("contactor", "overload_relay", "terminal_block"),
    ("combination_motor_controller",),
    ("terminal_block", "motor_starter"),
    ("reactor", "drive"),
    (),
)
SMALL_CHAINS = (
    ("terminal_block",),
    ("receptacle",),
    ("gfci_receptacle",),
    ("contactor",),
    ("switch",),
    ("power_supply",),
    ("switch_unit", "terminal_block"),
    ("mercury_switch",),
)
DISTRIBUTION = ("power_distribution_block", "bus_bar", "terminal_block", "meter_socket")


class Panel(ProtectionStock):
    """A panel that grows by one move at a time."""

    def __init__(self, choose: Chooser) -> None:
        super().__init__(choose)
        self.supplies: list[Part] = []
        self.outlets: list[Outlet] = []
        self.level = choose.pick(
            ("middle", "high", "high", "high", "high", "low", "middle", "high")
        )

    def supply(self, site: Site) -> None:
        """A supply, perhaps protected ahead of the panel, and the panel's main devices."""
        choose, name = self.choose, f"S{len(self.supplies) + 1}"
        supply: Part = {"id": name, "voltage": site.voltage, "system": site.system}
        supply["phases"] = 3 if site.conductors == 3 else 1
        if site.wires:
            supply["wires"] = site.wires
        self.supplies.append(supply)
        outlet = Outlet((name,), site, site.conductors, None, self.level)
        if choose.chance(15) and not site.dc:
            protection = self.upstream(outlet)
            supply["upstream_protection"] = protection
            outlet = replace(outlet, guard={**protection, "kind": protection["device"]})
        self.main(outlet)

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

    def branch(self, outlet: Outlet) -> None:
        """An OCPD and what it protects."""
        choose = self.choose
        fields: Part = {}
        if outlet.conductors == 3 and choose.chance(12):
            outlet, fields = self.fewer_poles(outlet)
        elif choose.chance(15):
            fields = {"poles": outlet.conductors}
        if fields.get("poles") == 1:
            below = self.breaker(outlet, feeder=False, **fields)
        elif self.slips():
            below = outlet.below(self.add("F", "supplementary_protector", outlet))
        else:
            below = outlet if self.slips() else self.protect(outlet, feeder=False, **fields)
        self.load(below)

    def fewer_poles(self, outlet: Outlet) -> tuple[Outlet, Part]:
        """Two poles, or one to neutral, or one marked for line-to-line."""
        if self.choose.chance(50) or outlet.site.dc:
            return replace(outlet, conductors=2), {"poles": 2}
        fields: Part = {"poles": 1}
        if outlet.site.to_neutral is None and not self.slips():
            fields["line_to_line"] = True
        narrowed = outlet.site.to_neutral is not None
        return replace(outlet, conductors=1 if narrowed else 2), fields

    def load(self, outlet: Outlet) -> None:
        """What a branch feeds, and often the load in the field behind it."""
        choose = self.choose
        three_phase = outlet.conductors == 3
        if three_phase and choose.chance(8):
            self.wye_delta(outlet)
            return
        for kind in choose.pick(MOTOR_CHAINS if three_phase else SMALL_CHAINS):
            if choose.chance(4):
                exempt = {"reason": "not in the fault path", "reference": "drawing 12"}
                outlet = outlet.below(self.add("X", "terminal_block", outlet, exempt=exempt))
            outlet = outlet.below(self.piece(kind, outlet))
        if choose.chance(1):
            protector = self.add("F", "supplementary_protector", outlet)
            outlet = outlet.below(protector)
        if choose.chance(60):
            self.field_load(outlet)

    def piece(self, kind: str, outlet: Outlet) -> Part:
        """One component of a branch."""
        if kind == "reactor":
            return self.add("R", kind, outlet)
        part = self.withstand(kind, outlet)
        if kind == "contactor" and self.choose.chance(15):
            part["poles"] = 3 if outlet.conductors == 3 else 2
        return part

    def field_load(self, outlet: Outlet) -> None:
        """A motor or another load that the panel controls."""
        choose = self.choose
        three_phase = outlet.conductors == 3
        kind = choose.pick(("motor", "heater", "motor") if three_phase else ("lighting", "heater"))
        load = self.add("M", kind, outlet)
        if three_phase or self.slips():
            load["phases"] = 3
        if choose.chance(40):
            load["location"] = "field"
        if choose.chance(50):
            load["full_load_current"] = f"{choose.pick((2, 7, 40, 100, 300))} A"

    def wye_delta(self, outlet: Outlet) -> None:
        """Line, delta and wye-point contactors."""
        line = self.withstand("contactor", outlet)
        self.withstand("contactor", outlet, position="wye_point")
        delta = self.withstand("contactor", outlet)
        self.field_load(replace(outlet, feeds=(line["id"], delta["id"])))

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
        written: Part = {
            "kva": choose.pick(("5 kVA", "2 kVA", "10 kVA", "7.5 kVA", "15 kVA", "45 kVA"))
        }
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

    def control(self, outlet: Outlet) -> None:
        """A control circuit: its OCPD, its transformer and what is behind."""
        choose = self.choose
        if choose.chance(2):
            tap = outlet.below(self.add("F", "supplementary_protector", outlet, circuit="control"))
        elif choose.chance(45):
            tap = self.breaker(outlet, feeder=False, circuit="control")
        else:
            tap = self.fuse(outlet, False, ("CC", "CC", "midget", "J"), circuit="control")
        written = {"kva": "0.5 kVA", "secondary": choose.pick(("120 V", "24 V"))}
        coil = self.add("T", "transformer", tap, circuit="control", phases=1, transformer=written)
        behind = tap.below(coil)
        if choose.chance(60):
            behind = behind.below(
                self.add("F", "supplementary_protector", behind, circuit="control")
            )
        self.add("K", "contactor", behind, circuit="control")

    def taps(self, outlet: Outlet) -> None:
        """Measuring and surge protection on the feeder."""
        kind = self.choose.pick(("surge_protective_device", "current_meter", "voltmeter", "shunt"))
        if kind == "shunt":
            shunt = self.withstand("current_shunt", outlet)
            self.add("P", "current_meter", outlet.below(shunt))
        elif kind == "voltmeter":
            self.add("P", kind, outlet)
        else:
            self.withstand(kind, outlet)

    def transfer(self, outlet: Outlet) -> None:
        """A load that two outlets of the same voltage can feed."""
        same = [o for o in self.outlets if o.site == outlet.site]
        other = self.choose.pick(same or [outlet])
        ways = [self.protect(o, feeder=False) for o in (outlet, other)]
        both = replace(ways[0], feeds=(ways[0].feeds[0], ways[1].feeds[0]))
        both = both.below(self.withstand(self.choose.pick(("switch", "contactor")), both))
        self.load(both)

    def single_poles(self, outlet: Outlet) -> None:
        """Two or three single-pole breakers on one load, marked for line-to-line."""
        count = self.choose.pick((2, 3)) if outlet.conductors == 3 else 2
        marked = {} if self.slips() else {"line_to_line": True}
        ways = [self.breaker(outlet, False, poles=1, **marked) for _ in range(count)]
        feeds = tuple(way.feeds[0] for way in ways)
        together = replace(ways[0], feeds=feeds, conductors=count)
        block = self.withstand("terminal_block", together)
        self.field_load(together.below(block))

    def own_load(self, outlet: Outlet) -> None:
        """A load straight on the feeder OCPD, which is then its branch OCPD as well."""
        if outlet.guard is not None or self.slips():
            self.load(outlet)

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
