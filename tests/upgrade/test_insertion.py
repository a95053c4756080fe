"""Where a feeder fuse may be added with its holder, and which."""

from typing import Any

import sccr
from sccr.upgrade import UpgradePlan
from sccr.upgrade import plan
from tests.drawing import DIRECT
from tests.drawing import WYE
from tests.drawing import Document
from tests.drawing import behind_fuse
from tests.drawing import breaker
from tests.drawing import contactor
from tests.drawing import panel
from tests.drawing import part
from tests.drawing import withstands
from tests.upgrade.small_orders import KA
from tests.upgrade.small_orders import catalogue
from tests.upgrade.small_orders import offer


def fuse_and_holder(fuse_class: str, amperes: str, poles: int = 3, price: str = "10") -> tuple[Document, Document]:
    rated = [behind_fuse("200 kA", [fuse_class], amperes)]
    fields = {"fuse_class": fuse_class, "ampere_rating": amperes}
    name = f"{fuse_class}-{amperes.split()[0]}"
    return (
        offer(f"F-{name}", "fuse", price, **fields),
        offer(f"H-{name}", "fuseholder", price, **fields, poles=poles, short_circuit_ratings=rated),
    )


def main(name: str = "QB1", fed_from: str = "S", amperes: str = "60 A") -> Document:
    fields = {"poles": 3, "ampere_rating": amperes, "short_circuit_ratings": withstands("100 kA")}
    return part("disconnect_switch", name, fed_from, **fields)


def branch(number: int, fed_from: str, weak: str = "10 kA") -> list[Document]:
    return [
        breaker(f"FC{number}", fed_from, "65 kA", poles=3, ampere_rating="30 A"),
        contactor(f"KM{number}", f"FC{number}", weak, ampere_rating="30 A"),
    ]


def to_50(document: Document, *offers: Any, **options: Any) -> UpgradePlan:
    return plan(document, catalogue(*offers), 50 * KA, **options)


def added(found: UpgradePlan) -> list[tuple[str, str]]:
    assert found.best is not None
    return [(change.component, change.after) for change in found.best.changes if change.action == "add"]


def test_the_changed_document_feeds_through_the_fuse() -> None:
    found = to_50(panel(main(), *branch(1, "QB1"), *branch(2, "QB1")), *fuse_and_holder("J", "60 A"))

    assert added(found) == [("+XF1", "H-J-60"), ("+FC1", "F-J-60")]
    fed = {component["id"]: component["fed_from"] for component in found.best.document["components"]}
    assert fed == {"QB1": "S", "FC1": "+FC1", "KM1": "FC1", "FC2": "+FC1", "KM2": "FC2", "+XF1": "QB1", "+FC1": "+XF1"}


def test_ids_that_the_document_uses_are_not_given_again() -> None:
    document = panel(main(), *branch(1, "QB1"), part("terminal_block", "+FC1", "FC1", **{
        "short_circuit_ratings": withstands("100 kA"),
    }))  # fmt: skip
    found = to_50(document, *fuse_and_holder("J", "60 A"))

    assert [name for name, _ in added(found)] == ["+XF2", "+FC2"]


def test_a_fuse_is_not_below_the_device_nor_of_a_larger_body() -> None:
    """Class J of 30 A is too small behind 60 A; of 100 A it is of the next body, and its holder as well."""
    document = panel(main(), *branch(1, "QB1", "20 kA"))
    small, large = fuse_and_holder("J", "30 A", price="1"), fuse_and_holder("J", "100 A", price="1")

    assert to_50(document, *small, *large).best is None
    assert added(to_50(document, *small, *large, *fuse_and_holder("J", "60 A"))) == [
        ("+XF1", "H-J-60"),
        ("+FC1", "F-J-60"),
    ]
    assert added(to_50(panel(main(amperes="70 A"), *branch(1, "QB1", "20 kA")), *large))


def test_a_holder_has_poles_enough() -> None:
    document = panel(main(), *branch(1, "QB1"))

    assert to_50(document, *fuse_and_holder("J", "60 A", poles=2)).best is None
    assert to_50(document, *fuse_and_holder("J", "60 A", poles=4)).best is not None


def test_a_holder_that_takes_lower_classes_is_not_added() -> None:
    """A fuse in a class H holder gives no credit, and would be worth 10 kA."""
    j, _ = fuse_and_holder("J", "60 A")
    holder = offer(
        "H-H", "fuseholder", "1", fuse_class="H", ampere_rating="60 A", short_circuit_ratings=withstands("200 kA")
    )

    assert to_50(panel(main(), *branch(1, "QB1")), j, holder).best is None


def test_the_fuse_stands_where_it_is_cheapest() -> None:
    """Behind the sub-feeder of 60 A in place of behind the main of 200 A, whose fuse lets too much through."""
    document = panel(main("QB0", amperes="200 A"), main("QB1", "QB0"), *branch(1, "QB1"), *branch(2, "QB0", "65 kA"))
    found = to_50(document, *fuse_and_holder("J", "200 A"), *fuse_and_holder("J", "60 A", price="30"))

    assert found.best.cost == 30 + 3 * 30
    assert next(c["fed_from"] for c in found.best.document["components"] if c["id"] == added(found)[0][0]) == "QB1"


def test_each_supply_may_have_its_own() -> None:
    document = panel(
        *(main("QB1", "S"), *branch(1, "QB1"), main("QB2", "T"), *branch(2, "QB2")),
        supplies=[{"id": "S", **WYE}, {"id": "T", **WYE}],
    )
    found = to_50(document, *fuse_and_holder("J", "60 A"))

    assert found.best.cost == 2 * (10 + 3 * 10) and found.proved
    assert len(added(found)) == 4


def test_no_fuse_is_added_that_would_be_the_branch_protection_of_a_load() -> None:
    """Behind 60 A a load of a 6 A supplementary protector has no branch protection, with a 60 A fuse no better one."""
    supplementary = part(
        "supplementary_protector", "FC3", "QB1", poles=3, ampere_rating="6 A", short_circuit_ratings=withstands("10 kA")
    )
    document = panel(main(), *branch(1, "QB1"), supplementary, part("motor", "MA3", "FC3"))
    found = plan(document, catalogue(*fuse_and_holder("J", "60 A")), 5 * KA)

    assert sccr.rate(document).status == "withheld"
    assert found.best is None and found.proved
    assert [block.component for block in found.blocked] == ["FC3"]
    assert "no branch-circuit protection" in found.blocked[0].reason


def test_a_measuring_tap_is_no_load() -> None:
    tap = part("surge_protective_device", "FA1", "QB1", short_circuit_ratings=withstands("200 kA"))

    assert to_50(panel(main(), tap, *branch(1, "QB1")), *fuse_and_holder("J", "60 A")).best is not None


def test_no_fuse_is_added_to_a_direct_current_circuit() -> None:
    """Table SB4.2 is of alternating current: there is no credit to be had."""
    rated = [{"voltage": "125 V", "current": "100 kA", "supply": "dc"}]
    weak = [{"voltage": "125 V", "current": "10 kA", "supply": "dc"}]
    document = panel(
        part("disconnect_switch", "QB1", ampere_rating="60 A", short_circuit_ratings=rated),
        part("circuit_breaker", "FC1", "QB1", ampere_rating="30 A", interrupting_ratings=rated),
        part("contactor", "KM1", "FC1", ampere_rating="30 A", short_circuit_ratings=weak),
        supply=DIRECT,
    )

    assert to_50(document, *fuse_and_holder("J", "60 A")).best is None
