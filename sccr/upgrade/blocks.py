"""What the catalogue lacks for a component that cannot reach a target."""

from collections.abc import Mapping
from collections.abc import Sequence

from sccr.schema.catalogue import Part
from sccr.ul508a.subject import system_text
from sccr.units import ampere_rating_text
from sccr.units import current_text
from sccr.upgrade.demands import Demands


def lacking(requirements: Demands, name: str, parts: Mapping[str, Sequence[Part]]) -> str:
    """Return what part would be needed, and how near the best comes that there is."""
    case, component = requirements.case, requirements.case.one_line.components[name]
    poles = f", {component.poles} pole{'s' * (component.poles > 1)}" if component.poles else ""
    amperes = f", {ampere_rating_text(component.amperes)}" if component.amperes else ""
    wanted = f"{current_text(requirements.target)} on {system_text(case.feeds_of(name)[0])}"
    told = f"the catalogue has no {component.kind.label}{poles}{amperes} for {wanted}: {_nearest(requirements, name)}"
    unpriced = sum(part.price is None for part in parts.get(component.kind.name, ()))
    return f"{told}; {unpriced} of its kind have no price" if unpriced else told


def _nearest(requirements: Demands, name: str) -> str:
    count = len(requirements.choosing.choices.get(name, ())) - 1
    others = f"{count} other{'s' * (count > 1)} of its function, poles and amperes" if count > 0 else "no other suits"
    best = requirements.best_worth(name)
    if best >= requirements.target:
        return f"{others}, and what would reach it needs another device ahead of it"
    return (
        f"{others}, the best of all is worth {current_text(best)}" if best else f"{others}, none with a usable rating"
    )
