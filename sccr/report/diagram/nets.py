"""What has to be wired on a sheet: who feeds whom there, and what comes from or goes to other sheets."""

from collections.abc import Mapping
from collections.abc import Sequence
from dataclasses import dataclass

from sccr.report.diagram.placing import Place


@dataclass(frozen=True, slots=True)
class Plan:
    """The whole diagram: what feeds each node, what each feeds, their places, sheets (from 1), and ids as written."""

    fed_from: Mapping[str, tuple[str, ...]]
    feeds: Mapping[str, tuple[str, ...]]
    places: Mapping[str, Place]
    sheet: Mapping[str, int]
    written: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Net:
    """A source on the sheet, or sources elsewhere that feed the same nodes here, with all that they feed.

    `channel` is the layer below which its wire runs across; `stepped` are the nodes that it reaches only around others.
    """

    sources: tuple[str, ...]
    here: bool
    feeds: tuple[str, ...]
    beyond: tuple[str, ...]
    channel: int
    stepped: frozenset[str]


def nets(plan: Plan, names: Sequence[str]) -> list[Net]:
    """Return the nets of a sheet that holds these nodes: those from elsewhere first."""
    on_sheet = set(names)
    within: dict[str, list[str]] = {name: [] for name in names}
    without: dict[str, list[str]] = {}
    for name in names:
        for source in plan.fed_from[name]:
            (within[source] if source in on_sheet else without.setdefault(source, [])).append(name)
    together: dict[tuple[str, ...], list[str]] = {}
    for source, fed in without.items():
        together.setdefault(tuple(fed), []).append(source)
    found = [_net(plan, tuple(sources), False, fed, ()) for fed, sources in together.items()]
    for name, fed in within.items():
        beyond = tuple(each for each in plan.feeds[name] if each not in on_sheet)
        if fed or beyond:
            found.append(_net(plan, (name,), True, tuple(fed), beyond))
    return found


def _net(plan: Plan, sources: tuple[str, ...], here: bool, fed: tuple[str, ...], beyond: tuple[str, ...]) -> Net:
    layers = [plan.places[name].layer for name in fed]
    channel = plan.places[sources[0]].layer if here else min(layers) - 1
    stepped = frozenset(
        name for name in fed if plan.places[name].layer > channel + 1 and plan.places[name].below not in sources
    )
    return Net(sources, here, fed, beyond, channel, stepped)


def is_straight(plan: Plan, net: Net) -> bool:
    """Return whether a net is one wire down its own column."""
    if not net.here or net.beyond or net.stepped or len(net.feeds) != 1:
        return False
    return plan.places[net.feeds[0]].column == plan.places[net.sources[0]].column
