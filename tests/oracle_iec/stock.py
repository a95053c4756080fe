"""Random parts of an IEC panel: what is marked on them, often exactly at an edge of a table."""

from dataclasses import dataclass
from dataclasses import replace
from typing import Any

from tests.oracle.choosing import Chooser

Part = dict[str, Any]

# Edges of the tables (5, 10, 17, 20, 50 kA) are met with often, and numbers just beside them.
BREAKING = (50, 25, 36, 10, 20, 6, 15, 70, 100, 10.001, 49.999)
WITHSTAND = (10, 5, 20, 6, 3, 17, 15, 50, 4.999, 1.5, 2.5)
TESTED = (50, 10, 100, 20, 65, 25, 17, 5, 80)
DURATIONS = ("1 s", "0.2 s", "100 ms", "3 s", "0.5 s", "50 ms")
CLEARING = ("20 ms", "100 ms", "0.2 s", "1 s", "0.03 s")
#: Available and peak [kA], and Joule integral [thousands of A²s].
POINTS = ((5, 5, 20), (10, 8.5, 60), (20, 14, 150), (35, 17, 250), (50, 17, 400), (80, 19, 600), (100, 22, 900))
SIZES = (16, 32, 63, 100, 250)
MOST_AMPERES = (63, 100, 32, 250)
WIRED = ("switch", "disconnect_switch", "power_supply", "receptacle", "meter_socket", "capacitor", "reactor")
CONTROLLERS = ("contactor", "motor_starter", "soft_starter", "drive", "manual_motor_controller", "overload_relay")
CONDUCTORS = ("terminal_block", "power_distribution_block", "bus_bar")


@dataclass(frozen=True)
class Site:
    """A supply or winding, and the voltages of ratings that serve there; to_neutral: for a single pole."""

    voltage: str
    system: str
    straight: tuple[str, ...]
    line: int
    slash: tuple[str, ...] = ()
    to_neutral: str | None = None
    phases: int = 3


EARTHED = Site("230/400 V", "solidly_grounded_wye", ("400 V", "415 V", "690 V"), 400, ("230/400 V",), "230 V")
UNGROUNDED = Site("690 V", "ungrounded_delta", ("690 V", "1000 V"), 690)
INSULATED = Site("400 V", "ungrounded_delta", ("400 V", "415 V"), 400)
IMPEDANCE = Site("400 V", "impedance_grounded_wye", ("400 V", "440 V"), 400)
CORNER = Site("400 V", "corner_grounded_delta", ("400 V", "440 V"), 400)
PLAIN_EARTHED = Site("400 V", "solidly_grounded_wye", ("400 V", "415 V"), 400, ("400Y/230 V", "230/400 V"), "240 V")
HIGHER_EARTHED = Site("277/480 V", "solidly_grounded_wye", ("480 V", "690 V"), 480, ("277/480 V",), "277 V")
SINGLE = Site("230 V", "single_phase_two_wire", ("230 V", "240 V", "400 V"), 230, phases=1)
DIRECT = Site("110 V", "dc", ("110 V", "250 V"), 110, phases=1)
SITES = (*[EARTHED] * 10, *[UNGROUNDED] * 3, *[SINGLE] * 3, INSULATED, IMPEDANCE, CORNER, PLAIN_EARTHED, HIGHER_EARTHED)


@dataclass(frozen=True)
class Outlet:
    """A place to connect to; guard: the nearest device ahead, None where there is none; ahead: no device at all."""

    feeds: tuple[str, ...]
    site: Site
    guard: Part | None = None
    ahead: bool = True
    line_side: Part | None = None
    neutral: bool = False

    def below(self, part: Part) -> "Outlet":
        """The same circuit behind a part."""
        return replace(self, feeds=(part["id"],))


def kiloamperes(number: float) -> str:
    """A current as it is written."""
    return f"{number:g} kA" if number >= 1 and len(f"{number:g}") < 5 else f"{number * 1000:g} A"


class Stock:
    """Makes parts and keeps the list of them."""

    def __init__(self, choose: Chooser) -> None:
        self.choose = choose
        self.components: list[Part] = []
        self.sloppy = choose.chance(25)
        self.careful = not self.sloppy and choose.chance(75)  # a rating to every part, else any part may lack one

    def slips(self) -> bool:
        """Whether to make a mistake here: in some panels only, and seldom."""
        return self.sloppy and self.choose.chance(7)

    def add(self, prefix: str, kind: str, outlet: Outlet, **fields: Any) -> Part:
        """Append a component."""
        feeds = outlet.feeds[0] if len(outlet.feeds) == 1 else list(outlet.feeds)
        part = {"id": f"-{prefix}{len(self.components) + 1}", "kind": kind, "fed_from": feeds, **fields}
        self.components.append(part)
        return part

    def voltage(self, outlet: Outlet) -> str:
        """One at which a rating serves, as a rule."""
        choose, site = self.choose, outlet.site
        if self.slips():
            return choose.pick(("230 V", "120 V", "277/480 V", "240/120 V", "230/400 V"))
        if outlet.neutral and site.to_neutral and choose.chance(50):
            return site.to_neutral
        return choose.pick((*site.straight, *site.slash, site.straight[0], site.straight[0]))

    def at(self, outlet: Outlet, number: float) -> Part:
        """A current at a voltage."""
        direct = {"supply": "dc"} if self.slips() else {}
        return {"voltage": self.voltage(outlet), "current": kiloamperes(number), **direct}

    def breaker(self, outlet: Outlet, prefix: str = "Q", **fields: Any) -> Outlet:
        """A circuit-breaker, industrial or for households or both."""
        choose = self.choose
        part = self.add(prefix, "circuit_breaker", outlet, **fields)
        part["part"] = f"GB-{choose.pick((1, 2, 3))}"
        if self.careful or choose.chance(85):
            part["ampere_rating"] = f"{choose.pick(SIZES)} A"
        part["breaking_capacities"] = self.capacities(replace(outlet, neutral=fields.get("poles") == 1))
        self.finish(part, outlet)
        return self.behind(outlet, part)

    def capacities(self, outlet: Outlet) -> list[Part]:
        """Icu, Ics and Icn in the mixes that are sold."""
        choose = self.choose
        marks: list[Part] = []
        for kind in choose.pick((("icu", "ics"), ("icu",), ("icn",), ("icu", "icn"), ("icu", "ics", "icn"), ("ics",))):
            for _ in range(choose.pick((1, 1, 2))):
                marks.append({**self.at(outlet, choose.pick(BREAKING)), "kind": kind})
        if not any(mark["kind"] != "ics" for mark in marks) and not self.slips():
            marks.append({**self.at(outlet, choose.pick(BREAKING)), "kind": "icu"})
        return marks

    def fuse(self, outlet: Outlet, **fields: Any) -> Outlet:
        """A fuse, named by category, class or both, sometimes in a holder."""
        choose = self.choose
        about: Part = choose.pick(
            (
                {"utilization_category": "gG"},
                {"utilization_category": "aM"},
                {"utilization_category": "gG", "fuse_class": "CC"},
                {"fuse_class": "CC"},
                {"fuse_class": "RK1"},
            )
        )
        if self.careful or choose.chance(90):
            about = {**about, "ampere_rating": f"{choose.pick(SIZES)} A"}
        seat = outlet
        if choose.chance(30):
            holder = self.wired("fuseholder", replace(outlet, guard=about | {"kind": "fuse"}, ahead=False))
            named_by_class = "utilization_category" not in about
            if about.get("fuse_class") == "CC" and choose.chance(40) and not (self.careful and named_by_class):
                holder["fuse_class"] = "midget"
            seat = outlet.below(holder)
        part = self.add("F", "fuse", seat, **about, **fields)
        if not self.slips():  # nothing is assumed of a fuse that does not say
            number = choose.pick((100, 50, 120, 80, 20))
            part["breaking_capacities"] = [{**self.at(outlet, number), "kind": "fuse"}]
        self.finish(part, outlet)
        return self.behind(outlet, part)

    def finish(self, part: Part, outlet: Outlet) -> None:
        """How it limits and clears, and what backs it up."""
        choose = self.choose
        if choose.chance(45):
            part["let_through"] = self.points(outlet)
        if choose.chance(55):
            part["clearing_time"] = choose.pick(CLEARING)
        if outlet.guard is not None and choose.chance(30):
            mark = self.at(outlet, choose.pick(TESTED))
            part["back_up_ratings"] = [{**mark, "line_side": self.named(outlet.guard)}]
            if choose.chance(25):
                mark = self.at(outlet, choose.pick(TESTED))
                part["back_up_ratings"].append({**mark, "line_side": self.named(outlet.guard)})

    def points(self, outlet: Outlet) -> list[Part]:
        """Published points; the curve does not always rise, nor is every Joule integral stated."""
        choose, found = self.choose, []
        for available, peak, joule in POINTS:
            if choose.chance(60):
                point = {"available": f"{available} kA", "voltage": self.voltage(outlet)}
                point["peak"] = f"{peak + choose.pick((0, 0, 0, 1, -1, 0.001))} kA"
                if float(point["peak"].split()[0]) > 20:
                    point["peak"] = "17 kA" if choose.chance(30) else point["peak"]
                if choose.chance(85):
                    point["i2t"] = f"{joule + choose.pick((0, 0, 10))} kA²s"
                found.append(point)
        return found or [{"available": "20 kA", "peak": "17 kA", "i2t": "100 kA²s", "voltage": outlet.site.straight[0]}]

    def behind(self, outlet: Outlet, part: Part) -> Outlet:
        """The outlet behind a protective device."""
        neutral = outlet.neutral or part.get("poles") == 1
        return replace(outlet, feeds=(part["id"],), guard=part, ahead=False, line_side=outlet.guard, neutral=neutral)

    def protect(self, outlet: Outlet, **fields: Any) -> Outlet:
        """Any protective device."""
        if self.choose.chance(6) and outlet.site.phases == 3:
            part = self.add("Q", "combination_motor_controller", outlet, self_protected=True)
            part["breaking_capacities"] = self.capacities(outlet)
            self.finish(part, outlet)
            return self.behind(outlet, part)
        if self.choose.chance(60):
            return self.breaker(outlet, **fields)
        return self.fuse(outlet)

    def named(self, guard: Part) -> Part:
        """A device as a tested combination names it: the one that is there, as a rule."""
        choose = self.choose
        most = {"max_ampere_rating": f"{choose.pick(MOST_AMPERES)} A"}
        if self.careful and choose.chance(70):
            return self.exactly(guard)
        fuse = guard["kind"] == "fuse"
        if choose.chance(15):
            fuse = not fuse
        if not fuse:
            parts = {"parts": [guard.get("part", "GB-1")] if choose.chance(80) else ["GB-2", "GB-3"]}
            told = choose.pick((parts, {**parts, **most}, most))
            return {"device": "circuit_breaker", **told}
        classes = {"fuse_classes": [guard.get("fuse_class", "CC"), "J"] if choose.chance(85) else ["RK5"]}
        categories = {"utilization_categories": [guard.get("utilization_category", "gG")]}
        if choose.chance(12):
            categories = {"utilization_categories": ["gM", "aM"]}
        fitting = classes if "fuse_class" in guard else categories
        told = choose.pick((fitting, fitting, {**classes, **categories}, classes, categories))
        return {"device": "fuse", **told, **most}

    def exactly(self, guard: Part) -> Part:
        """The device that is there, at the edge of its amperes."""
        most = {"max_ampere_rating": guard.get("ampere_rating", "250 A")}
        if guard["kind"] == "fuse" and "utilization_category" in guard:
            return {"device": "fuse", "utilization_categories": [guard["utilization_category"]], **most}
        if guard["kind"] == "fuse":
            return {"device": "fuse", "fuse_classes": [guard["fuse_class"]], **most}
        return {"device": "circuit_breaker", "parts": [guard.get("part", "GB-1")], **most}

    def short_time(self) -> Part:
        """A short-time rating, now and then with a peak at or beside the factor of its row."""
        choose = self.choose
        current = choose.pick(WITHSTAND)
        mark: Part = {"current": kiloamperes(current), "duration": choose.pick(DURATIONS)}
        if choose.chance(30):
            peak = current * choose.pick((1.7, 2.0, 1.5, 1.2, 2.1, 2.2))
            mark["peak"] = f"{round(peak * 1000)} A"
        return mark

    def wired(self, kind: str, outlet: Outlet, **fields: Any) -> Part:
        """A part that is no protective device, with ratings of one sort or another."""
        choose = self.choose
        part = self.add("X", kind, outlet, **fields)
        sorts = ("tested", "tested", "short", "both") if outlet.guard is not None else ("short",)
        if kind in CONDUCTORS:
            sorts = (*sorts, "none", "none")
        if self.slips():
            sorts = ("none", "tested")
        sort = choose.pick(sorts)
        if sort in ("tested", "both"):
            guard = outlet.guard or {"kind": "fuse"}
            ratings = [self.tested(outlet, guard) for _ in range(choose.pick((1, 2, 1, 3)))]
            part["conditional_ratings"] = ratings
        if sort in ("short", "both"):
            part["short_time_ratings"] = [self.short_time() for _ in range(choose.pick((1, 1, 2)))]
        if self.careful and kind not in CONDUCTORS:
            self.surely(part, outlet)
        if choose.chance(15):  # of the other rule set: it must not count
            part["short_circuit_ratings"] = [{"voltage": outlet.site.straight[0], "current": "200 kA"}]
        return part

    def surely(self, part: Part, outlet: Outlet) -> None:
        """A rating that counts: one with the device ahead, or a short-time rating where there is none."""
        if outlet.guard is None:
            part["short_time_ratings"] = [self.short_time()]
        elif outlet.guard["kind"] in ("fuse", "circuit_breaker"):
            mark = {"voltage": outlet.site.straight[0], "current": kiloamperes(self.choose.pick(TESTED))}
            sure = {**mark, "protected_by": self.exactly(outlet.guard), "coordination": 2}
            part.setdefault("conditional_ratings", []).append(sure)
        else:
            outlet.guard["clearing_time"] = self.choose.pick(CLEARING)
            part.setdefault("short_time_ratings", []).append(self.short_time())

    def tested(self, outlet: Outlet, guard: Part) -> Part:
        """A conditional rating."""
        choose = self.choose
        found = {**self.at(outlet, choose.pick(TESTED)), "protected_by": self.named(guard)}
        coordination = choose.pick((None, 2, 1, 2))
        return found if coordination is None else {**found, "coordination": coordination}
