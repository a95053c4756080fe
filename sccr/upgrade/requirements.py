"""What must hold for a panel to reach a target, as clauses over the choice of parts: the rules for one current."""

from collections.abc import Callable
from collections.abc import Iterable
from collections.abc import Iterator
from collections.abc import Sequence

from sccr.panel.component import Component
from sccr.panel.feeds import winding_name
from sccr.result import Finding
from sccr.result import Rating
from sccr.ul508a.rules.sb4_2_component_values import component_value
from sccr.ul508a.rules.sb4_2_scope import scope
from sccr.ul508a.rules.sb4_3_1_transformers import deliverable
from sccr.ul508a.rules.sb4_3_1_transformers import may_serve_half
from sccr.ul508a.rules.sb4_3_branch_credits import branch_devices
from sccr.ul508a.rules.sb4_3_branch_credits import branches
from sccr.ul508a.rules.sb4_3_branch_credits import memberships
from sccr.ul508a.rules.sb4_3_branch_credits import own_profile
from sccr.ul508a.rules.sb4_3_let_through import Profile
from sccr.units import MilliAmperes
from sccr.upgrade.choosing import Choosing
from sccr.upgrade.literals import Literals
from sccr.upgrade.worths import Numbers
from sccr.upgrade.worths import Worth
from sccr.upgrade.worths import rests_on
from sccr.upgrade.worths import surroundings
from sccr.upgrade.worths import worths


class Requirements:
    """The clauses of one panel for one target [mA], over the choices of `choosing`.

    known: the worths of other shapes of the same panel, with the same choices. admits: whether a protective device may
    be used at all where it counts. Raises OutOfTime after `until`.
    """

    def __init__(
        self,
        choosing: Choosing,
        target: MilliAmperes,
        known: dict[object, tuple[Worth, ...]],
        until: float,
        admits: Callable[[Component], bool] = lambda _: True,
    ) -> None:
        self.choosing, self.case, self.model, self.target = choosing, choosing.case, choosing.model, target
        self.scope, self._admits = scope(self.case), admits
        self._given: dict[tuple[str, MilliAmperes], int] = {}
        self._worths = {c.id: self._worths_of(c, known, until) for c in self._counted()}
        self._literals = Literals(choosing, self._worths)
        self.slack: dict[str, int] = {}
        self._always: int | None = None
        self._branches = branches(self.case, self.scope)
        self._members = memberships(self._branches)

    def _worths_of(
        self, component: Component, known: dict[object, tuple[Worth, ...]], until: float
    ) -> tuple[Worth, ...]:
        """Return the worths of a component; those found in another shape of the panel are not found anew."""
        key = surroundings(self.case, component)
        if key not in known:
            known[key] = tuple(worths(self.case, component, self.choosing.choices, until))
        return known[key]

    def _counted(self) -> list[Component]:
        return [self.case.one_line.components[n] for n in self.case.one_line.order if n in self.scope.counted]

    def learn(self, rating: Rating, wrong: Sequence[Finding], taken: frozenset[int]) -> bool:
        """Forbid a set of choices that does not reach the target where the clauses say that it does."""
        if not wrong:
            self.model.not_all(self.choosing.variables(taken))
        return not wrong

    def concerned(self, name: str, taken: frozenset[int]) -> list[str]:
        """Return the components whose parts a finding about one of them may come from."""
        if name not in self.case.one_line.components:
            return []
        place = self.case.one_line.components[name]
        part = self.choosing.chosen(taken).get(name)
        holders = [holder.id for holder in self.case.one_line.holders(name)]
        return [name, *holders, *rests_on(self.case, place, place if part is None else part.component)]

    def best_worth(self, name: str) -> MilliAmperes:
        """Return the most that a component is worth with any part."""
        admitted = set(self._admitted(name))
        usable = (w for w in self._worths.get(name, ()) if not w.value.missing and not admitted.isdisjoint(w.way[0][1]))
        return max((worth.value.current for worth in usable), default=0)

    def demand_all(self, *, lenient: bool = False) -> None:
        """Demand the target of every component that counts; if lenient, as few as may be are let off at any cost."""
        if lenient:
            self.model.weights = [0] * len(self.model.weights)
        thresholds = self._thresholds()
        hidden = {n: self._hidden_by(n) for n in self.scope.counted}
        for component in self._counted():
            name = component.id
            literals = [self._literals.at_least(name, self.target), *self._credits(name, thresholds), *hidden[name]]
            if lenient:
                literals.append(self.slack.setdefault(name, self.model.choice(1)))
            self.model.any_of(literals)
            if len(admitted := self._admitted(name)) < len(self.choosing.choices.get(name, ())):
                self.model.any_of([*self.choosing.of(name, admitted), *literals[len(literals) - lenient :]])

    def _admitted(self, name: str) -> Numbers:
        """Return the candidates of a component that are no protective devices or may be used as such."""
        several = enumerate(self.choosing.choices.get(name, ()))
        return tuple(n for n, c in several if not c.component.protective or self._admits(c.component))

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
            self.model.implies(literal, [self._literals.at_least(name, peak, lifted=True)])
            for device in self._members[name]:
                self.model.implies(literal, [self._given_at(device, peak)])
                for member in self._branches[device].withstand:
                    self.model.implies(literal, [self._literals.at_least(member, peak)])
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
        good = self._literals.holding(source, lambda worth: any(p <= peak for p in self._peaks(worth.profile)))
        return [*good, self._given_at(source, peak)]

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
                    self.model.implies(literal, [self._literals.at_least(name, level)])
                elif name in self.case.one_line.power_protection_behind or self.case.one_line.load_side[name]:
                    inner = self.case.one_line.components[name].transformer
                    if inner is not None:
                        same = dict.fromkeys(range(1, len(inner.secondaries) + 1), level)
                        self.model.implies(literal, [self._passes(name), self._every_part(name, same)])
        return literal
