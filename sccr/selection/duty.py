"""Whether a device may be what the circuit wants it for: its branch protection, or supplementary behind that."""

from sccr.selection.circuit import Duty
from sccr.selection.circuit import Motor
from sccr.selection.device import Device
from sccr.selection.practice import USUAL
from sccr.selection.tables import tables
from sccr.selection.verdict import Case
from sccr.selection.verdict import Verdict
from sccr.selection.verdict import fails
from sccr.selection.verdict import passes


def duty(case: Case) -> Verdict:
    """A supplementary protector, or a supplemental fuse, is never the protection of a branch."""
    device, clause = case.device, case.practice.clauses["duty"]
    if device.kind.controller:
        return _controller_duty(case)
    if case.circuit.duty is Duty.SUPPLEMENTARY:
        return _supplementary_duty(case)
    if device.kind.supplementary:
        return fails(clause, f"a supplementary protector ({_supplementary_standard(case)}) is never branch protection")
    if device.is_fuse and case.practice.categories:
        return _category_duty(case)
    if device.is_fuse:
        verdict = _fuse_duty(device, clause)
        return verdict if not verdict.passed or case.practice.standard == USUAL else _to_standards(case, verdict)
    return _breaker_duty(case) if case.practice.standard == USUAL else _to_standards(case)


def _supplementary_standard(case: Case) -> str:
    return next(iter(case.practice.standards.get("supplementary_protector", ())), "UL 1077")


def _supplementary_duty(case: Case) -> Verdict:
    told = "supplementary duty, behind the branch's own protection"
    clause = "NEC 240.10" if case.practice.standard == USUAL else case.practice.clauses["duty"]
    behind = case.device.conditional_ratings if case.practice.categories and case.device.kind.supplementary else ()
    return passes(clause, told, "that the protection ahead is the one that its rating names" if behind else None)


def _breaker_duty(case: Case) -> Verdict:
    device, clause = case.device, case.practice.clauses["duty"]
    wanted = tables().branch_standards.get(device.kind.name, frozenset())
    if not device.standards:
        return passes(clause, "a circuit breaker", "its standards: UL 489 must be among them")
    if wanted.isdisjoint(standard.casefold() for standard in device.standards):
        return fails(clause, f"{', '.join(device.standards)}: not UL 489, so no branch protection")
    return passes(clause, f"{', '.join(device.standards)}: branch protection")


def _controller_duty(case: Case) -> Verdict:
    usual = case.practice.standard == USUAL
    clause = "NEC 430.52(C)(6)" if usual else case.practice.clauses["duty"]
    if not isinstance(case.circuit.load, Motor):
        return fails(clause, f"a motor controller, and the load is {case.circuit.load.name}")
    verdict = passes(clause, "self-protected: it is the motor's branch protection")
    return verdict if usual else _to_standards(case, verdict)


def _fuse_duty(fuse: Device, clause: str) -> Verdict:
    row = tables().fuse_types.get(fuse.fuse_class or "")
    if row is None:
        return fails(clause, "its class is not stated")
    if not row.branch:
        return fails(clause, f"a {fuse.fuse_class} fuse (UL 248-14) is supplemental, no branch protection")
    return passes(clause, f"class {fuse.fuse_class}: branch protection")


def _category_duty(case: Case) -> Verdict:
    """A fuse of IEC 60269 protects a branch by its utilization category; a partial-range one not against overload."""
    category, clause = case.device.utilization_category, case.practice.clauses["duty"]
    kind = case.practice.categories.get(category or "")
    if category is None:
        return fails(clause, "its utilization category is not stated")
    if kind is None:
        return fails(clause, f"a fuse {category} protects no branch of this kind")
    if "motor" in kind and not isinstance(case.circuit.load, Motor):
        return fails(clause, f"a fuse {category} is for motor circuits, and the load is {case.circuit.load.name}")
    partial = "that an overload relay protects the motor: it breaks no overload" if "partial" in kind else None
    return _to_standards(case, passes(clause, f"utilization category {category}, {kind}", partial))


def _to_standards(case: Case, so_far: Verdict | None = None) -> Verdict:
    """Return a verdict by the standards of the edition; a device that states none is told to state one."""
    device, clause, kind = case.device, case.practice.clauses["duty"], case.device.kind
    wanted = " or ".join(case.practice.standards.get(kind.name, ())) or "a standard of the edition"
    told = f"{so_far.statement}; " if so_far is not None else ""
    stated = ", ".join(device.standards)
    if not device.standards:
        unsaid = f"its standards: {wanted} must be among them"
        also = f"{so_far.open}; {unsaid}" if so_far is not None and so_far.open else unsaid
        return passes(clause, so_far.statement if so_far is not None else f"a {kind.label}", also)
    if not case.practice.accepts(kind.name, device.standards):
        return fails(clause, f"{told}{stated}: not {wanted}, so no branch protection here")
    return passes(clause, f"{told}{stated}: branch protection", so_far.open if so_far is not None else None)
