"""What a device breaks in a circuit by the standards of IEC: which of its stated capacities count there.

By the rules that rate a panel (`sccr.iec61439`): Icu, or Ics where that is asked for; where Icn is stated as well the
lower of both, unless only skilled persons operate the assembly; of a fuse what it states. Nothing is assumed, and
ratings of UL 489 or UL 248 do not count.
"""

from dataclasses import replace

from sccr.panel.component import BreakingCapacity
from sccr.panel.component import Capacity
from sccr.panel.component import InterruptingRating
from sccr.panel.feeds import Feed
from sccr.panel.panel import Options
from sccr.panel.serving import serves
from sccr.selection.device import Device
from sccr.units import MilliAmperes


def as_breaking(device: Device, feed: Feed, options: Options) -> Device:
    """Return a device with the ratings that count in a circuit in place of those of UL."""
    if device.kind.supplementary:
        ratings = tuple(InterruptingRating(r.current, r.voltage, r.supply) for r in device.conditional_ratings)
        return replace(device, ratings=ratings, assumed=False)
    counted = _counted(device, feed, options)
    ratings = tuple(InterruptingRating(c.current, c.voltage, c.supply) for c in counted)
    return replace(device, ratings=ratings, assumed=False)


def _counted(device: Device, feed: Feed, options: Options) -> tuple[BreakingCapacity, ...]:
    if device.is_fuse:
        return _of(device, Capacity.FUSE)
    industrial = _of(device, Capacity.SERVICE if options.service_breaking_capacity else Capacity.ULTIMATE)
    household = _of(device, Capacity.RATED)
    at_industrial, at_household = _best(industrial, feed), _best(household, feed)
    if at_industrial is None and options.service_breaking_capacity:
        return industrial  # Icn is an ultimate capacity: it does not stand for the Ics that is asked for
    if at_industrial is None or at_household is None:
        return household if at_industrial is None and at_household is not None else industrial or household
    return industrial if options.skilled_persons_only or at_industrial <= at_household else household


def _of(device: Device, kind: Capacity) -> tuple[BreakingCapacity, ...]:
    return tuple(capacity for capacity in device.breaking_capacities if capacity.kind is kind)


def _best(capacities: tuple[BreakingCapacity, ...], feed: Feed) -> MilliAmperes | None:
    return max((c.current for c in capacities if serves(c.voltage, c.supply, feed)), default=None)
