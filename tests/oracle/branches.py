"""Random branches, loads and control circuits, to be hung on an outlet."""

from dataclasses import replace

from tests.oracle.pieces import Outlet
from tests.oracle.pieces import Part
from tests.oracle.protection import ProtectionStock

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


class BranchStock(ProtectionStock):
    """The stock, with whole circuits from a branch OCPD to the load."""

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
        if self.sloppy and choose.chance(3):
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

    def own_load(self, outlet: Outlet) -> None:
        """A load straight on the feeder OCPD, which is then its branch OCPD as well."""
        if outlet.guard is not None or self.slips():
            self.load(outlet)

    def single_poles(self, outlet: Outlet) -> None:
        """Two or three single-pole breakers on one load, marked for line-to-line."""
        count = self.choose.pick((2, 3)) if outlet.conductors == 3 else 2
        marked = {} if self.slips() else {"line_to_line": True}
        ways = [self.breaker(outlet, False, poles=1, **marked) for _ in range(count)]
        feeds = tuple(way.feeds[0] for way in ways)
        together = replace(ways[0], feeds=feeds, conductors=count)
        block = self.withstand("terminal_block", together)
        self.field_load(together.below(block))

    def control(self, outlet: Outlet) -> None:
        """A control circuit: its OCPD, its transformer and what is behind."""
        choose = self.choose
        if self.sloppy and choose.chance(6):
            tap = outlet.below(self.add("F", "supplementary_protector", outlet, circuit="control"))
        elif choose.chance(45):
            tap = self.breaker(outlet, feeder=False, circuit="control")
        else:
            tap = self.fuse(outlet, False, ("CC", "CC", "CC", "J", "CC", "midget"), circuit="control")
        written = {"kva": "0.5 kVA", "secondary": choose.pick(("120 V", "24 V"))}
        coil = self.add("T", "transformer", tap, circuit="control", phases=1, transformer=written)
        behind = tap.below(coil)
        if choose.chance(60):
            behind = behind.below(self.add("F", "supplementary_protector", behind, circuit="control"))
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
