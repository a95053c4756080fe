"""What must hold for a panel to reach a target, as clauses over the choice of parts: the rules for one current."""

from collections.abc import Iterable
from collections.abc import Iterator
from decimal import Decimal

from sccr.panel.component import Component
from sccr.panel.feeds import winding_name
from sccr.ul508a.rules.sb4_2_component_values import component_value
from sccr.ul508a.rules.sb4_2_scope import Scope
from sccr.ul508a.rules.sb4_3_1_transformers import deliverable
from sccr.ul508a.rules.sb4_3_1_transformers import may_serve_half
from sccr.ul508a.rules.sb4_3_branch_credits import branch_devices
from sccr.ul508a.rules.sb4_3_branch_credits import branches
from sccr.ul508a.rules.sb4_3_branch_credits import memberships
from sccr.ul508a.rules.sb4_3_branch_credits import own_profile
from sccr.ul508a.rules.sb4_3_let_through import Profile
from sccr.ul508a.subject import Subject
from sccr.ul508a.value import Basis
from sccr.units import MilliAmperes
from sccr.upgrade.candidates import Candidate
from sccr.upgrade.model import Model
from sccr.upgrade.worths import Way
from sccr.upgrade.worths import Worth
from sccr.upgrade.worths import worths


class Requirements:
    """The clauses of one panel for one target [mA]. `choice` holds the variable of each candidate of each component."""

    def __init__(
        self, case: Subject, scope: Scope, choices: dict[str, tuple[Candidate, ...]], target: MilliAmperes
    ) -> None:
        self.case, self.scope, self.target = case, scope, target
        self.choices = choices
        self.model = Model()
        self.choice = {name: [self.model.choice(c.weight) for c in several] for name, several in choices.items()}
        for variables in self.choice.values():
            self.model.exactly_one(variables)
        self._ways: dict[Way, int] = {}
        self._at_least: dict[tuple[str, MilliAmperes, bool], int] = {}
        self._given: dict[tuple[str, MilliAmperes], int] = {}
        self._worths = {c.id: tuple(worths(case, c, choices)) for c in self._counted()}
        self.slack: dict[str, int] = {}
        self._always: int | None = None
        self._branches = branches(case, scope)
        self._members = memberships(self._branches)

    def _counted(self) -> list[Component]:
        return [self.case.one_line.components[n] for n in self.case.one_line.order if n in self.scope.counted]

    def demand_all(self, penalty: Decimal | None = None) -> None:
        """Demand the target of every component that counts; with a penalty, each may be let off for that cost."""
        self._forbid_misfits()
        thresholds = self._thresholds()
        hidden = {n: self._hidden_by(n) for n in self.scope.counted}
        for component in self._counted():
            name = component.id
            literals = [self.at_least(name, self.target), *self._credits(name, thresholds)]
            literals += hidden[name]
            if penalty is not None:
                literals.append(self.slack.setdefault(name, self.model.choice(penalty)))
            self.model.any_of(literals)

    def at_least(self, name: str, current: MilliAmperes, lifted: bool = False) -> int:
        """Return the literal of a component being worth a current; `lifted`: as far as a credit may lift it."""
        key = (name, current, lifted)
        if key not in self._at_least:
            literal = self._at_least[key] = self.model.literal()
            good = [w for w in self._worths[name] if self._is_worth(w, current, lifted)]
            self.model.implies(literal, (self._way(w.way) for w in good))
        return self._at_least[key]

    @staticmethod
    def _is_worth(worth: Worth, current: MilliAmperes, lifted: bool) -> bool:
        if worth.value.missing:
            return False
        tested = lifted and worth.value.basis is Basis.TESTED_COMBINATION
        return (worth.value.unconditional if tested else worth.value.current) >= current

    def _way(self, way: Way) -> int:
        """Return the literal of a way being taken: all its choices."""
        variables = [self.choice[name][number] for name, number in way]
        if len(variables) == 1:
            return variables[0]
        if way not in self._ways:
            literal = self._ways[way] = self.model.literal()
            for variable in variables:
                self.model.implies(literal, [variable])
        return self._ways[way]

    def _forbid_misfits(self) -> None:
        """A fuse and its holder are chosen together: class and amperes must fit (R7)."""
        for name in self.choices:
            if self.case.one_line.components[name].kind.name != "fuse":
                continue
            for holder in self.case.one_line.holders(name):
                for h, held in enumerate(self.choices.get(holder.id, ())):
                    fits = [
                        f for f, fuse in enumerate(self.choices[name]) if self._fits(fuse.component, held.component)
                    ]
                    self.model.implies(self.choice[holder.id][h], (self.choice[name][f] for f in fits))

    def _fits(self, fuse: Component, holder: Component) -> bool:
        row = self.case.tables.holders.get(holder.fuse_class or "")
        kind = row is None or fuse.fuse_class is None or fuse.fuse_class in row.accepts
        return kind and (holder.amperes is None or fuse.amperes is None or fuse.amperes <= holder.amperes)

    def _thresholds(self) -> list[MilliAmperes]:
        """Return the let-throughs at which some device may credit the target. Parts above it need no credit."""
        peaks = {peak for several in self._worths.values() for w in several for peak in self._peaks(w.profile)}
        upstream = (p for s in self.case.panel.supplies for p in self._peaks(self._upstream_profile(s.id)))
        return sorted(peak for peak in peaks | set(upstream) if peak < self.target)

    def _peaks(self, profile: Profile) -> Iterable[MilliAmperes]:
        return [step.peak for step in profile if step.level >= self.target][:1]

    def _upstream_profile(self, supply: str) -> Profile:
        device = self.case.one_line.supplies[supply].upstream_protection
        if device is None:
            return ()
        return own_profile(self.case, device, {device.id: component_value(self.case, device, frozenset())})

    def _credits(self, name: str, thresholds: list[MilliAmperes]) -> list[int]:
        """Return the literals by which a part may be credited with the target, one a let-through."""
        devices = branch_devices(self.case, self.case.one_line.components[name])
        if name not in self._members or None in devices:
            return []
        literals = []
        for peak in thresholds:
            literal = self.model.literal()
            self.model.implies(literal, [self.at_least(name, peak, lifted=True)])
            for device in self._members[name]:
                self.model.implies(literal, [self._given_at(device, peak)])
                for member in self._branches[device].withstand:
                    self.model.implies(literal, [self.at_least(member, peak)])
            literals.append(literal)
        return literals

    def _given_at(self, name: str, peak: MilliAmperes) -> int:
        """Return the literal of a credit of the target being there on every path to a component."""
        if (name, peak) not in self._given:
            literal = self._given[(name, peak)] = self.model.literal()
            for source in self.case.one_line.line_side.get(name, ()):
                self.model.implies(literal, self._given_by(source.id, source.winding, peak))
            if name not in self.case.one_line.line_side:
                self.model.implies(literal, [])  # an upstream device credits nothing to its own branch (F5)
        return self._given[(name, peak)]

    def _given_by(self, source: str, winding: int | None, peak: MilliAmperes) -> list[int]:
        if winding is not None:
            return []
        if source in self.case.one_line.supplies:
            passed = any(p <= peak for p in self._peaks(self._upstream_profile(source)))
            return [self._true()] if passed else []
        good = [w for w in self._worths.get(source, ()) if any(p <= peak for p in self._peaks(w.profile))]
        return [*(self._way(w.way) for w in good), self._given_at(source, peak)]

    def _true(self) -> int:
        if self._always is None:
            self._always = self.model.literal()
            self.model.any_of([self._always])
        return self._always

    def _hidden_by(self, name: str) -> list[int]:
        """Return the literal of a component standing behind transformers that pass T1, T2 or T3, if it may."""
        origins = {feed.origin for feed in self.case.feeds.incoming[name]}
        if origins & self.case.one_line.supplies.keys():
            return []
        literal = self.model.literal()
        for origin in origins:
            transformer = origin.rpartition("/")[0]
            self.model.implies(literal, [self._passes(transformer), *self._hidden_by(transformer)])
        return [literal]

    def _passes(self, transformer: str) -> int:
        """Return the literal of a transformer passing by its size or by what it can deliver (T1 to T3)."""
        key = (transformer, 0)
        if key not in self._given:
            literal = self._given[key] = self.model.literal()
            self.model.implies(literal, list(self._rules(self.case.one_line.components[transformer])))
        return self._given[key]

    def _rules(self, transformer: Component) -> Iterator[int]:
        nameplate, one_line = transformer.transformer, self.case.one_line
        behind = transformer.id in one_line.power_protection_behind
        if (
            nameplate is None
            or not behind
            or nameplate.isolated is False
            or None in one_line.protection[transformer.id]
        ):
            return
        windings = range(1, len(nameplate.secondaries) + 1)
        for rule in self.case.tables.transformer_rules:
            small = nameplate.volt_amperes is not None and nameplate.volt_amperes <= rule.volt_amperes
            if small and all(rule.secondary is None or v.line <= rule.secondary for v in nameplate.secondaries):
                yield self._every_part(transformer.id, dict.fromkeys(windings, rule.current))
        levels = {n: deliverable(self.case, transformer, n) for n in windings}
        half = any(may_serve_half(self.case, winding_name(transformer.id, n)) for n in windings)
        known = {n: level for n, level in levels.items() if level is not None}
        if self.case.panel.options.transformer_impedance_credit and not half and len(known) == len(levels):
            yield self._every_part(transformer.id, known)

    def _every_part(self, transformer: str, levels: dict[int, MilliAmperes]) -> int:
        """Return the literal of every part behind each winding being worth a current; inner transformers first."""
        literal = self.model.literal()
        for winding, level in levels.items():
            for name in self.case.zones.get(winding_name(transformer, winding), ()):
                if name in self.scope.counted:
                    self.model.implies(literal, [self.at_least(name, level)])
                elif name in self.case.one_line.power_protection_behind or self.case.one_line.load_side[name]:
                    inner = self.case.one_line.components[name].transformer
                    if inner is not None:
                        same = dict.fromkeys(range(1, len(inner.secondaries) + 1), level)
                        self.model.implies(literal, [self._passes(name), self._every_part(name, same)])
        return literal
