"""What a nameplate asks of the one-line diagram: disconnects, protective device of a supply, largest load."""

from collections.abc import Iterator
from typing import Final

from sccr.nameplate.fields import LargestLoad
from sccr.nameplate.fields import ProtectiveDevice
from sccr.panel.component import Component
from sccr.panel.one_line import OneLine
from sccr.panel.panel import Supply
from sccr.units import VOLT
from sccr.units import MilliVolts

#: Circuits below this voltage do not count for the disconnects (NEC 409.110, from memory).
_DISCONNECTED_FROM: Final[MilliVolts] = 50 * VOLT
#: The kinds that are a disconnecting means by themselves (NEC 430.109, from memory).
_DISCONNECTING: Final = ("circuit_breaker", "disconnect_switch", "fused_disconnect_switch")


def disconnects(one_line: OneLine) -> tuple[str, ...]:
    """Return the disconnecting means nearest to each supply of 50 V or more, in the order of the diagram."""
    nearest = {
        name
        for supply in live_supplies(one_line)
        for name in _first(one_line, supply.id)
        if _disconnecting(one_line.components[name])
    }
    return tuple(name for name in one_line.order if name in nearest)


def more_than_one_disconnect(one_line: OneLine) -> bool:
    """Return whether one disconnect does not take the voltage from the whole panel (NEC 409.110).

    Two supplies count as two, whatever stands between them: to say so of a panel that has a common disconnect
    is the safe side.
    """
    return len(live_supplies(one_line)) > 1 or len(disconnects(one_line)) > 1


def live_supplies(one_line: OneLine) -> list[Supply]:
    """Return the supplies of 50 V or more."""
    return [supply for supply in one_line.panel.supplies if supply.voltage.line >= _DISCONNECTED_FROM]


def _disconnecting(component: Component) -> bool:
    return component.kind.name in _DISCONNECTING or (component.kind.controller and component.protective)


def _first(one_line: OneLine, supply: str) -> Iterator[str]:
    """Yield what stands on the load side of a supply, up to and with the first disconnecting means of each path."""
    waiting, seen = list(one_line.load_side[supply]), set[str]()
    while waiting:
        name = waiting.pop()
        if name not in seen:
            seen.add(name)
            yield name
            if not _disconnecting(one_line.components[name]):
                waiting += one_line.load_side[name]


def protective_device(one_line: OneLine, supply: Supply) -> ProtectiveDevice | None:
    """Return the device that protects all that a supply feeds: the one stated ahead of the panel, else its main."""
    if supply.upstream_protection is not None:
        return protection_fields(supply.upstream_protection, in_field=True)
    main = _main(one_line, supply.id)
    return None if main is None else protection_fields(main, main.in_field)


def protection_fields(device: Component, in_field: bool) -> ProtectiveDevice:
    """Return a protective device as the nameplate names it: type and class, part, amperes."""
    label = device.kind.label
    if device.kind.name == "fuse" and device.fuse_class is not None:
        label = f"class {device.fuse_class} fuse"
    return ProtectiveDevice(device.id, label, in_field, device.part, device.amperes)


def _main(one_line: OneLine, supply: str) -> Component | None:
    """Return the one protective device that every load of a supply stands behind, if there is one.

    What only measures or clamps, and feeds nothing, may hang ahead of it.
    """
    found: list[Component] = []
    waiting, seen = list(one_line.load_side[supply]), set[str]()
    while waiting:
        name = waiting.pop()
        if name in seen:
            continue
        seen.add(name)
        component = one_line.components[name]
        if component.protective:
            found.append(component)
        elif one_line.load_side[name]:
            waiting += one_line.load_side[name]
        elif not component.kind.measuring_tap:
            return None
    return found[0] if len(found) == 1 else None


def largest_load(one_line: OneLine) -> LargestLoad | None:
    """Return the motor or load of the largest stated full-load current; the first in the document among equals."""
    largest: LargestLoad | None = None
    for component in one_line.panel.components:
        current = component.full_load_current
        if component.kind.load and current is not None and (largest is None or current > largest.full_load_current):
            largest = LargestLoad(component.id, component.kind.name, current)
    return largest


def loads_without_current(one_line: OneLine) -> tuple[str, ...]:
    """Return the motors and loads of power circuits that state no full-load current: any may be the largest."""
    return tuple(
        c.id for c in one_line.panel.components if c.kind.load and not c.control and c.full_load_current is None
    )
