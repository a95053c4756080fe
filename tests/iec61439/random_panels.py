"""Right panels drawn at random for what must hold of every panel: a few circuits, all ratings by IEC."""

from random import Random
from typing import Any

from tests.iec61439.drawing import STAR
from tests.iec61439.drawing import UNEARTHED
from tests.iec61439.drawing import Document
from tests.iec61439.drawing import behind_breaker
from tests.iec61439.drawing import behind_gg
from tests.iec61439.drawing import breaker
from tests.iec61439.drawing import capacity
from tests.iec61439.drawing import fuse
from tests.iec61439.drawing import motor
from tests.iec61439.drawing import panel
from tests.iec61439.drawing import part
from tests.iec61439.drawing import point
from tests.iec61439.drawing import short_time
from tests.iec61439.drawing import transformer

CURRENTS = ("3 kA", "6 kA", "10 kA", "15 kA", "25 kA", "36 kA", "50 kA", "80 kA")
DURATIONS = ("0.1 s", "0.2 s", "0.5 s", "1 s")
WITHSTAND = ("contactor", "switch", "disconnect_switch", "overload_relay", "surge_protective_device")
CONDUCTORS = ("bus_bar", "terminal_block", "power_distribution_block")


class Drawing:
    """Draws one panel from a seed."""

    def __init__(self, seed: int) -> None:
        self.random, self.parts, self.number = Random(seed), [], 0
        self.parts: list[Document]

    def name(self, letter: str) -> str:
        self.number += 1
        return f"{letter}{self.number}"

    def pick(self, *words: Any) -> Any:
        return self.random.choice(words)

    def add(self, component: Document) -> str:
        self.parts.append(component)
        return str(component["id"])

    def points(self) -> list[Document]:
        """A curve that rises."""
        peaks = sorted(self.random.sample(range(4, 24), 3))
        return [
            point(available, f"{peak} kA", f"{peak * peak} kA²s")
            for available, peak in zip(("10 kA", "36 kA", "80 kA"), peaks, strict=True)
        ]

    def device(self, fed_from: Any, volts: str = "400 V") -> str:
        more: Document = {}
        if self.random.random() < 0.6:
            more["clearing_time"] = self.pick("0.02 s", "0.2 s", "0.4 s")
        if self.random.random() < 0.3:
            more["let_through"] = self.points()
        if self.random.random() < 0.5:
            return self.add(fuse(self.name("F"), fed_from, self.pick(*CURRENTS[4:]), self.pick("32 A", "63 A"), **more))
        own = [capacity(self.pick(*CURRENTS), voltage=volts)]
        if self.random.random() < 0.3:
            own += [capacity(self.pick(*CURRENTS), "icn", volts), capacity(self.pick(*CURRENTS), "ics", volts)]
        if self.random.random() < 0.3:
            line_side = {"device": "fuse", "utilization_categories": ["gG"], "max_ampere_rating": "63 A"}
            more["back_up_ratings"] = [{"line_side": line_side, "current": self.pick(*CURRENTS), "voltage": volts}]
        if "let_through" in more:
            more["current_limiting"] = True
        amperes = self.pick("32 A", "63 A")
        return self.add(breaker(self.name("Q"), fed_from, breaking_capacities=own, ampere_rating=amperes, **more))

    def ratings(self) -> Document:
        fused = behind_gg(self.pick(*CURRENTS), coordination=self.pick(1, 2))
        behind = behind_breaker(self.pick(*CURRENTS))
        if self.random.random() < 0.03:
            return {"conditional_ratings": [fused]}  # which may not be what protects it
        return {"conditional_ratings": [fused, behind], "short_time_ratings": self.short_times()}

    def short_times(self) -> list[Document]:
        return [short_time(self.pick(*CURRENTS), self.pick(*DURATIONS)) for _ in range(self.pick(1, 2))]

    def conductor(self, fed_from: Any) -> str:
        more = {"short_time_ratings": self.short_times()} if self.random.random() < 0.3 else {}
        return self.add(part(self.pick(*CONDUCTORS), self.name("W"), fed_from, **more))

    def branch(self, fed_from: str) -> None:
        device = self.device(fed_from)
        if self.random.random() < 0.3:
            device = self.conductor(device)
        if self.random.random() < 0.25:
            self.behind_transformer(device)
            return
        kind = self.pick(*WITHSTAND)
        end = self.add(part(kind, self.name("K"), device, **self.ratings()))
        if kind != "surge_protective_device":
            self.add(motor(self.name("M"), end))

    def behind_transformer(self, fed_from: str) -> None:
        nameplate = {"phases": 1, **({"impedance": self.pick("3 %", "5 %")} if self.random.random() < 0.7 else {})}
        size, secondary = self.pick("1 kVA", "5 kVA", "20 kVA", None), self.pick("230 V", "110 V")
        device = self.device(self.add(transformer(self.name("T"), fed_from, size, secondary, **nameplate)))
        self.conductor(device)


def random_panel(seed: int) -> Document:
    """A panel of one or two supplies; some states cannot be rated, and are withheld."""
    drawing = Drawing(seed)
    supplies = [{"id": "S", **drawing.pick(STAR, UNEARTHED)}]
    if drawing.random.random() < 0.25:
        supplies.append({"id": "T", **STAR})
    if drawing.random.random() < 0.3:
        capacities = [capacity(drawing.pick(*CURRENTS[3:]), "fuse")]
        upstream = {"device": "fuse", "utilization_category": "gG", "ampere_rating": "63 A"}
        supplies[0]["upstream_protection"] = {**upstream, "breaking_capacities": capacities}
    for supply in supplies:
        head = str(supply["id"])
        if drawing.random.random() < 0.5:
            head = drawing.add(part("disconnect_switch", drawing.name("Q"), head, **drawing.ratings()))
        if drawing.random.random() < 0.5:
            head = drawing.device(head)
        if drawing.random.random() < 0.5:
            head = drawing.conductor(head)
        for _ in range(drawing.pick(1, 2, 3)):
            drawing.branch(head)
    return panel(*drawing.parts, supplies=supplies)
