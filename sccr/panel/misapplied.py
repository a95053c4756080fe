"""What no standard lets pass: too few conductors, a branch without protection, a primary that does not fit."""

from collections.abc import Iterator
from typing import Final
from typing import NamedTuple

from sccr.panel.component import Component
from sccr.panel.feeds import Feed
from sccr.panel.feeds import transformer_phases
from sccr.panel.one_line import OneLine

#: How far a transformer's primary may lie from its circuit's voltage unremarked (common practice, no source).
PRIMARY_TOLERANCE_PERCENT: Final = 10


class Unprotected(NamedTuple):
    """A branch on which no overcurrent protective device stands: its end, and a supplementary protector on it."""

    end: str
    supplementary: str | None


def unprotected_branches(one_line: OneLine) -> Iterator[Unprotected]:
    """Yield the branches without an overcurrent protective device, in the order of the diagram."""
    for name in one_line.ends() if one_line.unprotected else ():
        component = one_line.components[name]
        if name not in one_line.unprotected or _needs_no_branch(one_line, component):
            continue
        ahead = [one_line.components.get(n) for n in one_line.line_side_of(name)]
        found = next((c.id for c in (component, *ahead) if c is not None and c.kind.supplementary), None)
        yield Unprotected(name, found)


def _needs_no_branch(one_line: OneLine, component: Component) -> bool:
    tap = component.kind.measuring_tap or component.id in one_line.protective
    return tap or (component.in_field and not component.kind.load)


def lacking_conductors(component: Component, fed: tuple[Feed, ...]) -> Feed | None:
    """Return the feed that has too few ungrounded conductors for a three-phase load or transformer, if there is one."""
    phases = component.phases
    if component.kind.transformer and (component.transformer or phases):
        phases = transformer_phases(component, fed)
    return next((feed for feed in fed if feed.conductors < 3), None) if phases == 3 else None


def unsuited_primary(transformer: Component, fed: tuple[Feed, ...]) -> Iterator[str]:
    """Yield, of a transformer whose stated primary does not suit a circuit that feeds it, what differs."""
    primary = transformer.transformer.primary if transformer.transformer is not None else None
    for feed in fed if primary is not None else ():
        if primary is not None and abs(primary.line - feed.line) * 100 > PRIMARY_TOLERANCE_PERCENT * feed.line:
            yield f"primary {primary.text} in a circuit of {feed.line // 1_000} V"
