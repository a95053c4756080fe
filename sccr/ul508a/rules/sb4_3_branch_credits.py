"""SB4.3.2 and SB4.3.3: the credit of each branch from the current-limiting devices in its feeder (F3 to F9)."""

from typing import NamedTuple

from sccr import circuits
from sccr.panel.component import Component
from sccr.ul508a.rules.sb4_2_scope import Scope
from sccr.ul508a.rules.sb4_3_let_through import CreditStep
from sccr.ul508a.rules.sb4_3_let_through import Profile
from sccr.ul508a.rules.sb4_3_let_through import best_of
from sccr.ul508a.rules.sb4_3_let_through import breaker_profile
from sccr.ul508a.rules.sb4_3_let_through import credit
from sccr.ul508a.rules.sb4_3_let_through import fuse_profile
from sccr.ul508a.rules.sb4_3_let_through import next_step
from sccr.ul508a.rules.sb4_3_let_through import worst_of
from sccr.ul508a.subject import Subject
from sccr.ul508a.value import TESTED_COMBINATION
from sccr.ul508a.value import Value
from sccr.units import UNLIMITED
from sccr.units import MilliAmperes


class Branch(NamedTuple):
    """A branch circuit: its protective device, and the parts that are held to withstand, which a credit may lift."""

    device: str
    withstand: tuple[str, ...]


class BranchCredit(NamedTuple):
    """What the feeder's devices may credit a branch: the step taken, if any, and the first step it does not pass."""

    branch: Branch
    weakest: MilliAmperes
    weakest_parts: tuple[str, ...]
    taken: CreditStep | None
    missed: CreditStep | None


class Credited(NamedTuple):
    """The value of a part after credit [mA], with the step that gave it (None: its own value stands)."""

    current: MilliAmperes
    step: CreditStep | None = None


_OUT_OF_THE_WAY = Credited(UNLIMITED)


def held_to_interrupt(case: Subject, component: Component) -> bool:
    """Return whether a part's value is an interrupting rating, which no let-through raises."""
    return component.protective or case.tables.scope[component.kind.name].interrupting


def is_feeder(case: Subject, component: Component) -> bool:
    """Return whether a component belongs to the feeder; a holder goes with the fuse that it carries (section 1, 4)."""
    return component.id in case.one_line.feeders


def branch_devices(case: Subject, component: Component) -> tuple[str | None, ...]:
    """Return the devices whose branch a component belongs to: the nearest ahead, or the fuses that it carries."""
    return circuits.branch_devices(case.one_line, component)


def branches(case: Subject, scope: Scope) -> dict[str, Branch]:
    """Return the branch circuits by their protective device, in the order of the diagram."""
    members: dict[str, list[Component]] = {}
    counted, protective = scope.counted, case.one_line.protective
    for name, component in case.one_line.in_order():
        if name not in counted:
            continue
        if name in protective:
            if name not in case.one_line.power_protection_behind:
                members.setdefault(name, [])
        elif not is_feeder(case, component):
            for device in branch_devices(case, component):
                if device is not None and case.same_zone(name, device):
                    members.setdefault(device, []).append(component)
    return {device: _branch(case, device, parts) for device, parts in members.items()}


def branch_devices_outside(case: Subject) -> dict[str, str]:
    """Return, by supply, the upstream protection that is itself the branch device of something in the panel (F8)."""
    found: dict[str, str] = {}
    if not case.upstream:
        return found
    loads = [name for name in case.one_line.ends() if name not in case.one_line.protective]
    for supply in case.panel.supplies:
        device = supply.upstream_protection
        if device is not None and any(device.id in case.one_line.protection[name] for name in loads):
            found[supply.id] = device.id
    return found


def memberships(found: dict[str, Branch]) -> dict[str, tuple[str, ...]]:
    """Return, for each part held to withstand, the devices of the branches that it belongs to."""
    members: dict[str, tuple[str, ...]] = {}
    for device, branch in found.items():
        for name in branch.withstand:
            members[name] = (*members.get(name, ()), device)
    return members


def _branch(case: Subject, device: str, parts: list[Component]) -> Branch:
    return Branch(device, tuple([part.id for part in parts if not held_to_interrupt(case, part)]))


def profiles(case: Subject, values: dict[str, Value]) -> dict[str, Profile]:
    """Return the credit to be had at each component from the devices on its line side. None crosses a transformer.

    What a device lets through is asked for where another one stands behind it: behind the last there is no branch.
    """
    at: dict[str, Profile] = {}
    for supply in case.panel.supplies:
        upstream = supply.upstream_protection
        at[supply.id] = own_profile(case, upstream, values) if upstream is not None else ()
    leaving: dict[str, Profile] = dict(at)
    crediting = case.one_line.protective & case.one_line.protection_behind
    for name in case.one_line.order:
        found: Profile | None = None
        for source in case.one_line.line_side[name]:
            other = () if source.winding is not None else leaving[source.id]
            found = other if found is None or found is other else worst_of(found, other)
        at[name] = leaving[name] = found = found or ()
        if name in crediting:
            own = own_profile(case, case.one_line.components[name], values)
            leaving[name] = best_of(found, own) if own else found
    return at


def own_profile(case: Subject, device: Component, values: dict[str, Value]) -> Profile:
    """Return what a device itself may credit to what it feeds, by its class or its published points."""
    value = values.get(device.id)
    if value is None or value.missing:
        return ()
    if device.kind.name == "fuse":
        return fuse_profile(case, device, value)
    return breaker_profile(case, device, value) if device.kind.name == "circuit_breaker" else ()


def gives_credit(case: Subject, name: str) -> bool:
    """Return whether a device is one whose let-through may credit a branch behind it."""
    if name not in case.one_line.protection_behind and name not in case.upstream:
        return False
    device = case.one_line.device(name)
    return device.kind.name == "fuse" or (device.kind.name == "circuit_breaker" and device.current_limiting)


def branch_credits(
    case: Subject, found: dict[str, Branch], values: dict[str, Value], at: dict[str, Profile]
) -> dict[str, BranchCredit]:
    """Return the credit of each branch that has a current-limiting device in its feeder."""
    credits: dict[str, BranchCredit] = {}
    read: dict[tuple[int, MilliAmperes], tuple[CreditStep | None, CreditStep | None]] = {}  # many branches, one feeder
    for device, branch in found.items():
        profile = at.get(device, ())  # a supply's upstream protection credits nothing as the branch device itself (F5)
        if not profile or not branch.withstand:
            continue
        worth = [values[name].current for name in branch.withstand]
        weakest = min(worth)
        if weakest >= UNLIMITED:
            continue
        parts = tuple([name for name, current in zip(branch.withstand, worth, strict=True) if current == weakest])
        steps = read.get((id(profile), weakest))
        if steps is None:
            steps = read[id(profile), weakest] = credit(profile, weakest), next_step(profile, weakest)
        credits[device] = BranchCredit(branch, weakest, parts, *steps)
    return credits


def credited_values(
    case: Subject,
    counted: frozenset[str],
    values: dict[str, Value],
    members: dict[str, tuple[str, ...]],
    credits: dict[str, BranchCredit],
    at: dict[str, Profile],
) -> dict[str, Credited]:
    """Return the value of every counted part after credit. A credit never lowers a value (settled 2)."""
    after: dict[str, Credited] = {}
    feeder_credit, unprotected = case.panel.options.credit_feeder_components, case.one_line.unprotected
    for name in counted:
        value = values[name]
        if value.current >= UNLIMITED:
            after[name] = _OUT_OF_THE_WAY
            continue
        step = None
        if name in members:
            open_path = name in unprotected and None in branch_devices(case, case.one_line.components[name])
            if credits and not open_path:
                step = _of_branches(members[name], credits, value, at)
        elif feeder_credit:
            step = _feeder_credit(case, name, value, at)
        if step is not None and step.level > value.current:
            after[name] = Credited(step.level, step)
        else:
            after[name] = Credited(value.current)
    return after


def _for_part(attempt: BranchCredit | None, value: Value, at: dict[str, Profile]) -> CreditStep | None:
    """Return the step of a part's branch, as far as the part may use it."""
    if attempt is None or attempt.taken is None:
        return None
    if value.basis is not TESTED_COMBINATION:
        return attempt.taken
    return _usable(attempt.taken, value, at[attempt.branch.device])


def _usable(taken: CreditStep | None, value: Value, profile: Profile) -> CreditStep | None:
    """A part valued by a tested combination is lifted no further than its unconditional marking passes by itself."""
    if taken is None or value.basis is not TESTED_COMBINATION:
        return taken
    own = credit(profile, value.unconditional)
    return own if own is None or own.level < taken.level else taken


def _of_branches(
    devices: tuple[str, ...], credits: dict[str, BranchCredit], value: Value, at: dict[str, Profile]
) -> CreditStep | None:
    """Return the worst step of the branches that a part belongs to, None where one of them gives nothing."""
    if len(devices) == 1:
        return _for_part(credits.get(devices[0]), value, at)
    steps = [_for_part(credits.get(device), value, at) for device in devices]
    found = [step for step in steps if step is not None]
    return min(found, key=lambda step: step.level) if found and len(found) == len(steps) else None


def _feeder_credit(case: Subject, name: str, value: Value, at: dict[str, Profile]) -> CreditStep | None:
    """F7: a feeder component is credited only under the option, each by itself."""
    component = case.one_line.components[name]
    if held_to_interrupt(case, component) or not is_feeder(case, component):
        return None
    return _usable(credit(at[name], value.current), value, at[name])
