"""The current that a panel computes from its sources, against a hand calculation of its own, on random panels."""

import copy
from collections.abc import Iterator
from typing import Any

import pytest

import sccr
from tests.drawing import breaker
from tests.drawing import panel
from tests.oracle.choosing import seeded
from tests.oracle.panels import random_panel
from tests.oracle.quantities import milliamperes
from tests.oracle.sites import SUPPLY_SITES
from tests.oracle.sites import Site
from tests.oracle.upstream import available
from tests.oracle.upstream import duty
from tests.oracle.upstream import random_source

Document = dict[str, Any]
ALTERNATING = tuple(dict.fromkeys(site for site in SUPPLY_SITES if not site.dc))


def phases(supply: Document) -> int:
    return 1 if supply["system"].startswith("single_phase") else 3


def some_panels(first: int, count: int) -> Iterator[tuple[int, Document]]:
    """Random panels that have a source somewhere."""
    seed = first
    while count:
        document = random_panel(seed)
        if any("source" in supply for supply in document["supplies"]):
            yield seed, document
            count -= 1
        seed += 1


def on(site: Site, source: Document, *components: Document, **stated: str) -> Document:
    supply = {"voltage": site.voltage, "system": site.system, "source": source, **stated}
    supply |= {"wires": site.wires} if site.wires else {}
    return panel(*components, supply=supply)


def single(site: Site, interrupting: str, **more: Any) -> Document:
    """A breaker alone, marked at the voltage of its supply."""
    return breaker("FC1", interrupting_ratings=[{"voltage": f"{site.line} V", "current": interrupting}], **more)


def found(document: Document) -> dict[str, Any]:
    rating = sccr.rate(document).as_dict()
    return {**rating["adequacy"]["supplies"][0], **rating["supplies"][0]["available_fault_current"]}


@pytest.mark.parametrize("block", range(4))
def test_what_counts_is_the_higher_of_what_is_stated_and_what_the_oracle_computes(block: int) -> None:
    computed = both = 0
    for seed, document in some_panels(block * 10_000, 100):
        listed = sccr.rate(document).supplies
        for supply, rated in zip(document["supplies"], listed, strict=True):
            stated = milliamperes(supply["available_fault_current"]) if "available_fault_current" in supply else 0
            own = available(supply["source"], supply["voltage"], phases=phases(supply)) if "source" in supply else 0
            if not stated and not own:
                assert rated.available is None
                continue
            assert rated.available is not None
            assert rated.available.current == max(stated, own * 1000), (seed, supply)
            assert rated.available.basis == ("computed" if own * 1000 >= stated else "given"), (seed, supply)
            computed, both = computed + bool(own), both + bool(own and stated)

    assert computed >= 100 and both >= 10


def test_no_rating_moves_by_what_is_available() -> None:
    for seed, document in some_panels(100_000, 150):
        bare = copy.deepcopy(document)
        for supply in bare["supplies"]:
            supply.pop("source", None)
            supply.pop("available_fault_current", None)
        with_source, without = sccr.rate(document), sccr.rate(bare)

        assert (with_source.status, with_source.rating) == (without.status, without.rating), seed
        assert with_source.limited_by == without.limited_by and with_source.next_limits == without.next_limits, seed
        assert [s.rating for s in with_source.supplies] == [s.rating for s in without.supplies], seed


def test_adequacy_follows_the_computed_current_to_the_ampere() -> None:
    """A breaker marked with exactly what is available covers it, unless its test was easier; an ampere less never."""
    covered = exceeded = 0
    for seed in range(300):
        choose = seeded(seed)
        site = choose.pick(ALTERNATING)
        source = random_source(choose, site)
        number = 1 if site.conductors < 3 else 3
        current = available(source, site.voltage, phases=number)
        for marked in (current, current - 1, choose.pick((10_000, 20_000, 25_000, 65_000))):
            weighs = duty(source, site.voltage, phases=number, interrupting=marked)
            comparison = found(on(site, source, single(site, f"{marked} A")))

            assert comparison["current_amperes"] == current, (seed, source)
            assert comparison["margin_amperes"] == marked - current
            assert comparison["adequate"] is (marked >= current and marked >= weighs), (seed, marked, weighs)
            assert comparison["exceeded"] == (["FC1"] if weighs > marked and weighs > current else []), (seed, marked)
            covered += comparison["adequate"]
            exceeded += marked >= current and not comparison["adequate"]

    assert covered > 100 and exceeded > 50


def test_a_longer_run_never_makes_more_available() -> None:
    runs = 0
    for seed in range(200):
        choose = seeded(seed)
        site = choose.pick(ALTERNATING)
        source = random_source(choose, site)
        before = found(on(site, source, single(site, "65 kA")))["current_amperes"]
        for element in source["elements"]:
            if "conductor" in element:
                longer = copy.deepcopy(source)
                longer.pop("alternates", None)
                shorter = copy.deepcopy(longer)
                place = source["elements"].index(element)
                length = float(element["conductor"]["length"].split()[0])
                longer["elements"][place]["conductor"]["length"] = f"{length * 1.5:g} ft"
                after = found(on(site, longer, single(site, "65 kA")))["current_amperes"]
                assert after <= found(on(site, shorter, single(site, "65 kA")))["current_amperes"] <= before, seed
                runs += 1

    assert runs > 150


def test_a_further_state_never_makes_less_available() -> None:
    for seed in range(60):
        choose = seeded(1_000 + seed)
        site = choose.pick(ALTERNATING)
        one, other = random_source(choose, site), random_source(choose, site)
        other.pop("alternates", None)
        alone = found(on(site, one, single(site, "65 kA")))["current_amperes"]
        more = {**one, "alternates": [*one.get("alternates", ()), {"name": "tie closed", **other}]}
        assert found(on(site, more, single(site, "65 kA")))["current_amperes"] >= alone, seed
