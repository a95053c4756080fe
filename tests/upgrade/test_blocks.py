"""What is told of a target out of reach: the components that block it, and what the catalogue lacks."""

from sccr.upgrade import UpgradePlan
from sccr.upgrade import plan
from tests.drawing import WYE
from tests.drawing import Document
from tests.drawing import behind_breaker
from tests.drawing import breaker
from tests.drawing import contactor
from tests.drawing import fuse
from tests.drawing import interrupts
from tests.drawing import panel
from tests.drawing import part
from tests.drawing import withstands
from tests.upgrade.small_orders import KA
from tests.upgrade.small_orders import catalogue
from tests.upgrade.small_orders import offer

DEVICE = {"poles": 3, "ampere_rating": "30 A"}


def blocked(document: Document, *offers: Document, target: int = 65) -> dict[str, str]:
    found = plan(document, catalogue(*offers), target * KA)
    assert found.best is None and found.proved and found.alternatives == ()
    return {block.component: block.reason for block in found.blocked}


def starter(**more: object) -> Document:
    return panel(breaker("FC1", "S", "14 kA", **DEVICE), contactor("KM1", "FC1", "65 kA", **{**DEVICE, **more}))


def test_what_would_be_needed_and_how_near_the_best_comes() -> None:
    near = offer("B-25", "circuit_breaker", "9", **DEVICE, interrupting_ratings=interrupts("25 kA"))
    other = offer("B-40A", "circuit_breaker", "9", **{**DEVICE, "ampere_rating": "40 A"})

    assert blocked(starter(), near, other) == {
        "FC1": "the catalogue has no circuit breaker, 3 poles, 30 A for 65 kA on 480 V, solidly grounded wye: "
        "1 other of its function, poles and amperes, the best of all is worth 25 kA"
    }
    assert blocked(starter())["FC1"].endswith("no other suits, the best of all is worth 14 kA")


def test_parts_without_a_price_are_told() -> None:
    free = offer("B-65", "circuit_breaker", None, **DEVICE, interrupting_ratings=interrupts("65 kA"))

    assert blocked(starter(), free)["FC1"].endswith("; 1 of its kind have no price")
    assert plan(starter(), catalogue(free), 65 * KA, objective="changes").best is not None


def test_a_rating_at_too_low_a_voltage_is_none() -> None:
    low = offer("B-65", "circuit_breaker", "9", **DEVICE, interrupting_ratings=interrupts("65 kA", "240 V"))
    document = panel(breaker("FC1", "S", "65 kA", "240 V", **DEVICE))

    assert blocked(document, low)["FC1"].endswith(
        "1 other of its function, poles and amperes, none with a usable rating"
    )


def test_a_combination_that_waits_for_another_device_is_told_as_that() -> None:
    """The contactor would do with B-65, which the catalogue does not have."""
    tested = [*withstands("5 kA"), behind_breaker("65 kA", ["B-65"])]
    reasons = blocked(starter(short_circuit_ratings=tested))

    assert set(reasons) == {"FC1", "KM1"}
    sold = offer("B-65", "circuit_breaker", "9", **{**DEVICE, "poles": 2}, interrupting_ratings=interrupts("65 kA"))
    assert set(blocked(starter(short_circuit_ratings=tested), sold)) == {"FC1", "KM1"}


def test_as_few_as_may_be_are_named() -> None:
    """With the fuse added that lets 10 kA through, the contactors of 10 kA reach it; the breaker never does."""
    document = panel(
        part("disconnect_switch", "QB1", "S", ampere_rating="60 A", short_circuit_ratings=withstands("100 kA")),
        breaker("FC1", "QB1", "14 kA", **DEVICE),
        contactor("KM1", "FC1", "10 kA", **DEVICE),
        contactor("KM2", "FC1", "10 kA", **DEVICE),
    )
    rated = withstands("200 kA")
    fuses = (
        offer("J-60", "fuse", "1", fuse_class="J", ampere_rating="60 A"),
        offer("HJ-60", "fuseholder", "1", fuse_class="J", ampere_rating="60 A", short_circuit_ratings=rated),
    )

    assert set(blocked(document)) == {"FC1", "KM1", "KM2"}
    assert set(blocked(document, *fuses)) == {"FC1"}


def test_an_error_that_no_part_mends_is_told_in_its_words() -> None:
    """A motor on no overcurrent device, whatever is bought."""
    document = panel(*starter()["components"], part("contactor", "KM9", "S"), part("motor", "MA9", "KM9"))

    assert "no overcurrent device ahead of it" in blocked(document, target=5)["MA9"]


def test_an_error_that_a_part_mends_is_mended() -> None:
    """A fuse above its holder's amperes withholds the rating; a larger holder for it is on offer."""
    rated = withstands("200 kA")
    held = part("fuseholder", "XF1", fuse_class="J", ampere_rating="30 A", short_circuit_ratings=rated)
    document = panel(held, fuse("FC1", "XF1", "J", "60 A"), contactor("KM1", "FC1", "65 kA"))
    larger = offer("HJ-60", "fuseholder", "7", fuse_class="J", ampere_rating="60 A", short_circuit_ratings=rated)
    found: UpgradePlan = plan(document, catalogue(larger), 65 * KA)

    assert [change.after for change in found.best.changes] == ["HJ-60"]
    assert "FC1" in blocked(document)


def test_a_panel_that_needs_no_rating_has_no_plan() -> None:
    upstream = {"device": "fuse", "fuse_class": "J", "ampere_rating": "5 A"}
    document = panel(part("power_supply", "TB1", circuit="control"), supply={**WYE, "upstream_protection": upstream})
    reasons = blocked(document)

    assert list(reasons.values()) == ["control circuits only: the panel needs no short-circuit current rating"]
