"""What UL 508A says, said for Canada: clauses, rules of the electrical code, standards of devices."""

import re
from collections.abc import Iterable
from collections.abc import Iterator
from typing import Final

from sccr.csa286.tables import CERTIFICATION
from sccr.csa286.tables import DEVICE_STANDARD
from sccr.csa286.tables import Tables
from sccr.panel.component import Component
from sccr.panel.panel import Panel

FROM_MEMORY: Final = " [clause from memory]"

#: Values that rest on what the standard of a device makes of it.
_BY_STANDARD: Final = frozenset({"marked", "tested combination", "series rating", "fuse class"})


class Words:
    """The words of a rating of one panel; what the document itself says is left as it is."""

    def __init__(self, tables: Tables, panel: Panel) -> None:
        self._tables = tables
        self._components = {component.id: component for component in panel.components}
        spoken = _pattern(tables.phrases)
        own = [word for word in _own_words(panel) if spoken.search(word)]
        self._said = _pattern(tables.phrases, own) if own else spoken

    def text(self, said: str) -> str:
        """Return a text with the phrases of the United States in those of Canada."""
        return self._said.sub(lambda found: self._tables.phrases.get(found["phrase"] or "", found[0]), said)

    def clause(self, clause: str) -> str:
        """Return the clause whose method is used, named for Canada; one that no table has stays."""
        known = self._tables.clauses.get(clause)
        return clause if known is None else known.text

    def statement(self, said: str, clause: str, component: str | None, basis: str) -> str:
        """Return the statement of a step: what UL 508A rests on, and whether the clause is known from memory."""
        known = self._tables.clauses.get(clause)
        mark = FROM_MEMORY if known is None or known.from_memory else ""
        return f"{self.text(said)}{self._difference(component, basis)}{mark}"

    def uncertified(self, because: str) -> str:
        """Return the statement of the step of a device that is refused."""
        told = f"{because}; UL 508A: {self._tables.differences[CERTIFICATION]}"
        return told + (FROM_MEMORY if self._tables.clauses[CERTIFICATION].from_memory else "")

    def _difference(self, name: str | None, basis: str) -> str:
        component = self._components.get(name) if name is not None else None
        device = self._tables.devices.get(component.kind.name) if component is not None else None
        if device is None or basis not in _BY_STANDARD:
            return ""
        return f"; UL 508A: {self._tables.differences[DEVICE_STANDARD].format(ul=device.ul, csa=device.csa)}"


def _pattern(phrases: Iterable[str], own: Iterable[str] = ()) -> re.Pattern[str]:
    """Return what finds phrases, the longest first, and before them words that are to be passed over."""
    passed = "|".join(re.escape(word) for word in sorted(own, key=len, reverse=True))
    found = "|".join(re.escape(phrase) for phrase in sorted(phrases, key=len, reverse=True))
    spoken = rf"(?<![\w.])(?P<phrase>{found})(?!\.?\w)"
    return re.compile(f"{passed}|{spoken}" if passed else spoken)


def _own_words(panel: Panel) -> Iterator[str]:
    for supply in panel.supplies:
        yield supply.id
        if supply.upstream_protection is not None:
            yield from _words_of(supply.upstream_protection)
    for component in panel.components:
        yield from _words_of(component)


def _words_of(component: Component) -> Iterator[str]:
    yield component.id
    if component.part is not None:
        yield component.part
    if component.exempt is not None:
        yield component.exempt.reason
        if component.exempt.reference is not None:
            yield component.exempt.reference
    for series in component.series_ratings:
        yield from (series.reference or "", *series.line_side.parts)
    for rating in component.short_circuit_ratings:
        if rating.protected_by is not None:
            yield from rating.protected_by.parts
