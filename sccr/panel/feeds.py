"""What each component is fed with: voltage, arrangement and number of ungrounded conductors.

Poles decide it (method, section 8): behind a two-pole device a three-phase circuit is single-phase line-to-line,
behind a single-pole device it is line-to-neutral.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from dataclasses import replace

from sccr.panel.component import Component
from sccr.panel.one_line import OneLine
from sccr.panel.one_line import Source
from sccr.panel.panel import Supply
from sccr.panel.voltage import Form
from sccr.panel.voltage import System
from sccr.panel.voltage import Voltage
from sccr.panel.voltage import wye_line_to_ground
from sccr.units import MilliVolts


@dataclass(frozen=True, slots=True)
class Feed:
    """One way in which a component is fed.

    origin: the supply, or the transformer winding ('-TA1/2'), where this voltage begins.
    line: the voltage between the conductors of this circuit [mV]; system_line: that of the whole system.
    to_ground: line-to-ground [mV] where the system holds it (solidly grounded wye, three-wire), else None.
    conductors: ungrounded conductors of this circuit; system_conductors: of the whole system.
    pole: the single-pole device that this circuit stands behind.
    """

    origin: str
    system: System
    line: MilliVolts
    system_line: MilliVolts
    to_ground: MilliVolts | None
    conductors: int
    system_conductors: int
    neutral: bool
    pole: str | None = None

    @property
    def line_to_neutral(self) -> bool:
        """Whether this circuit runs between one line and the neutral of a system that has more lines."""
        return self.conductors == 1 and self.system_conductors > 1


def system_feed(origin: str, voltage: Voltage, system: System, phases: int, wires: int | None = None) -> Feed:
    """Return the feed at the beginning of a system."""
    ground: MilliVolts | None = None
    if system is System.SOLIDLY_GROUNDED_WYE:
        ground = voltage.ground or wye_line_to_ground(voltage.line)
    elif system is System.SINGLE_PHASE_THREE_WIRE:
        ground = voltage.ground or voltage.line // 2
    conductors = _system_conductors(system, phases)
    neutral = ground is not None and not (system is System.SOLIDLY_GROUNDED_WYE and wires == 3)
    return Feed(origin, system, voltage.line, voltage.line, ground, conductors, conductors, neutral)


def _system_conductors(system: System, phases: int) -> int:
    if system.three_phase:
        return 3 if phases == 3 else 2
    return 2 if system is System.SINGLE_PHASE_THREE_WIRE else 1


def supply_feed(supply: Supply) -> Feed:
    """Return what a supply feeds."""
    return system_feed(supply.id, supply.voltage, supply.system, supply.phases, supply.wires)


def secondary_feed(transformer: Component, winding: int, fed: Iterable[Feed]) -> Feed:
    """Return what a winding (from 1) of a transformer feeds."""
    nameplate = transformer.transformer
    assert nameplate is not None  # the schema lets nothing be fed from a transformer without a nameplate
    voltage = nameplate.secondaries[winding - 1]
    phases = transformer_phases(transformer, fed)
    systems = nameplate.secondary_systems
    system = systems[winding - 1] if systems else _unstated_system(voltage, phases)
    return system_feed(winding_name(transformer.id, winding), voltage, system, phases)


def winding_name(transformer: str, winding: int) -> str:
    """Return the name of a transformer's winding as `fed_from` writes it."""
    return f"{transformer}/{winding}"


def transformer_phases(transformer: Component, fed: Iterable[Feed]) -> int:
    """Return a transformer's phases: stated, else those of the circuit that feeds it."""
    stated = (transformer.transformer.phases if transformer.transformer else None) or transformer.phases
    return stated or (3 if all(feed.conductors == 3 for feed in fed) else 1)


def _unstated_system(voltage: Voltage, phases: int) -> System:
    """Return the system of a secondary that does not say: a slash voltage names it, else nothing is grounded."""
    if voltage.form is Form.WYE:
        return System.SOLIDLY_GROUNDED_WYE
    if voltage.form is Form.THREE_WIRE:
        return System.SINGLE_PHASE_THREE_WIRE
    return System.UNGROUNDED_DELTA if phases == 3 else System.SINGLE_PHASE_TWO_WIRE


def switched(feed: Feed, component: Component, line_to_line: bool = False) -> Feed:
    """Return the feed that the poles of a component leave: what the component is judged at and feeds on.

    line_to_line: the single pole is joined with others further on, and so stands between two lines.
    """
    poles = component.poles
    if not component.kind.switches_poles or poles is None or poles >= feed.conductors:
        return feed
    if poles == 2:
        return replace(feed, conductors=2)
    if component.line_to_line or line_to_line:
        return replace(feed, conductors=2, pole=component.id)
    if feed.neutral and feed.to_ground is not None:
        return replace(feed, conductors=1, line=feed.to_ground, pole=component.id)
    if feed.system is System.HIGH_LEG_DELTA:  # one line may be the high leg: judged at the full voltage
        return replace(feed, conductors=1, pole=component.id)
    return replace(feed, conductors=2, pole=component.id)


@dataclass(frozen=True, slots=True)
class Feeds:
    """What every component is fed with, before and after its own poles, and where single poles are joined."""

    incoming: dict[str, tuple[Feed, ...]]
    own: dict[str, tuple[Feed, ...]]
    joined: frozenset[str]


def feeds(one_line: OneLine) -> Feeds:
    """Return what each component of the diagram is fed with.

    Single poles that are joined further on stand line-to-line: where there are any, a second walk takes them so.
    """
    found, poles = _walked(one_line, frozenset())
    return replace(_walked(one_line, poles)[0], joined=found.joined) if poles else found


def _walked(one_line: OneLine, line_to_line: frozenset[str]) -> tuple[Feeds, frozenset[str]]:
    """Return the feeds, and the single poles that are joined further on."""
    incoming: dict[str, tuple[Feed, ...]] = {}
    own: dict[str, tuple[Feed, ...]] = {supply.id: (supply_feed(supply),) for supply in one_line.supplies.values()}
    joined: set[str] = set()
    poles: set[str] = set()
    for name in one_line.order:
        sources = one_line.line_side[name]
        if len(sources) == 1:
            arriving = _leaving(one_line, sources[0], own)
        else:
            arriving = tuple([feed for source in sources for feed in _leaving(one_line, source, own)])
        found = arriving
        if len(arriving) > 1:
            found = _joined(arriving)
            if any(feed not in arriving for feed in found):
                joined.add(name)
                poles.update(feed.pole for feed in arriving if feed.pole is not None)
        incoming[name] = own[name] = found
        component = one_line.components[name]
        if component.poles is not None and component.kind.switches_poles:
            own[name] = _switched(found, component, name in line_to_line)
    for supply in one_line.supplies:
        del own[supply]
    return Feeds(incoming, own, frozenset(joined)), frozenset(poles)


def _switched(found: tuple[Feed, ...], component: Component, joins: bool) -> tuple[Feed, ...]:
    """Return what a component leaves of its feeds: the same tuple where its poles change nothing."""
    if len(found) == 1:
        feed = switched(found[0], component, joins)
        return found if feed is found[0] else (feed,)
    return tuple(dict.fromkeys(switched(feed, component, joins) for feed in found))


def _leaving(one_line: OneLine, source: Source, own: dict[str, tuple[Feed, ...]]) -> tuple[Feed, ...]:
    """Return what a supply or component feeds on, by what stands behind its own poles."""
    fed = own[source.id]
    component = one_line.components.get(source.id)
    if component is None:  # a supply
        return fed
    if source.winding is not None:
        return (secondary_feed(component, source.winding, fed),)
    if component.kind.own_phases:
        return tuple(replace(feed, conductors=3, neutral=False, pole=None) for feed in fed)
    return fed


def _joined(arriving: tuple[Feed, ...]) -> tuple[Feed, ...]:
    """Return the distinct feeds; several single poles of one system make a line-to-line circuit."""
    poles: dict[str, dict[str | None, Feed]] = {}
    for feed in arriving:
        if feed.pole is not None:
            poles.setdefault(feed.origin, {})[feed.pole] = feed
    together = {origin for origin, single in poles.items() if len(single) > 1}
    found = [
        replace(feed, line=feed.system_line, conductors=len(poles[feed.origin]), pole=None)
        if feed.pole is not None and feed.origin in together
        else feed
        for feed in arriving
    ]
    return tuple(dict.fromkeys(found))
