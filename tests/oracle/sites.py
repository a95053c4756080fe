"""The systems that random panels stand on, and the voltages marked on parts that fit them."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Site:
    """A supply or a transformer winding, with voltages of ratings that serve there."""

    voltage: str
    system: str
    conductors: int
    straight: tuple[str, ...]
    slash: tuple[str, ...] = ()
    to_neutral: str | None = None
    wires: int | None = None
    line: int = 480

    @property
    def dc(self) -> bool:
        return self.system == "dc"


WYE = "solidly_grounded_wye"
WYE_480 = Site("480Y/277 V", WYE, 3, ("480 V", "600 V"), ("480Y/277 V", "600Y/347 V"), "277 V", line=480)
WYE_600 = Site("600Y/347 V", WYE, 3, ("600 V",), ("600Y/347 V",), "347 V", line=600)
WYE_208 = Site(
    "208Y/120 V",
    WYE,
    3,
    ("240 V", "208 V", "600 V"),
    ("208Y/120 V", "480Y/277 V"),
    "120 V",
    line=208,
)
WYE_THREE_WIRE = Site("480 V", WYE, 3, ("480 V", "600 V"), ("480Y/277 V",), wires=3, line=480)
WYE_400 = Site("400 V", WYE, 3, ("415 V", "480 V"), ("480Y/277 V",), "240 V", line=400)
WYE_460 = Site("460 V", WYE, 3, ("480 V",), ("480Y/277 V",), "277 V", line=460)
DELTA_480 = Site("480 V", "ungrounded_delta", 3, ("480 V", "600 V"), line=480)
DELTA_240 = Site("240 V", "ungrounded_delta", 3, ("240 V", "600 V"), line=240)
CORNER_480 = Site("480 V", "corner_grounded_delta", 3, ("480 V", "600 V"), line=480)
IMPEDANCE_480 = Site("480 V", "impedance_grounded_wye", 3, ("480 V", "600 V"), line=480)
HIGH_LEG = Site("240 V", "high_leg_delta", 3, ("240 V", "600 V"), line=240)
THREE_WIRE = Site(
    "240/120 V",
    "single_phase_three_wire",
    2,
    ("240 V", "480 V"),
    ("240/120 V",),
    "120 V",
    line=240,
)
TWO_WIRE_480 = Site("480 V", "single_phase_two_wire", 2, ("480 V", "600 V"), line=480)
TWO_WIRE_240 = Site("240 V", "single_phase_two_wire", 2, ("240 V", "600 V"), line=240)
TWO_WIRE_120 = Site("120 V", "single_phase_two_wire", 2, ("120 V", "240 V"), line=120)
TWO_WIRE_24 = Site("24 V", "single_phase_two_wire", 2, ("120 V", "250 V"), line=24)
DC_125 = Site("125 V", "dc", 2, ("125 V", "250 V"), line=125)

SUPPLY_SITES = (
    *[WYE_480] * 12,
    *[DELTA_480] * 4,
    *[THREE_WIRE] * 2,
    *[WYE_600] * 2,
    *[WYE_208] * 3,
    IMPEDANCE_480,
    CORNER_480,
    HIGH_LEG,
    WYE_THREE_WIRE,
    WYE_400,
    WYE_460,
    TWO_WIRE_240,
    DC_125,
)
SINGLE_PHASE_SECONDARIES = (
    *[TWO_WIRE_120] * 4,
    *[THREE_WIRE] * 3,
    TWO_WIRE_240,
    TWO_WIRE_24,
    TWO_WIRE_480,
)
THREE_PHASE_SECONDARIES = (*[WYE_208] * 3, DELTA_240, WYE_480)
