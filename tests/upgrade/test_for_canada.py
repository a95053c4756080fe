"""Plans by CSA C22.2 No. 286: the rules of UL 508A, with devices that are certified for Canada."""

from decimal import Decimal

import pytest

import sccr
from sccr.upgrade import plan
from tests.drawing import breaker
from tests.drawing import contactor
from tests.drawing import interrupts
from tests.drawing import motor
from tests.drawing import panel
from tests.upgrade.small_orders import KA
from tests.upgrade.small_orders import Order
from tests.upgrade.small_orders import catalogue
from tests.upgrade.small_orders import least_cost
from tests.upgrade.small_orders import offer
from tests.upgrade.small_orders import random_order

EDITION = "CSA C22.2 No. 286:2017"
FIELDS = {"poles": 3, "ampere_rating": "30 A", "interrupting_ratings": interrupts("65 kA")}


def starter(**device: object) -> dict:
    return panel(
        breaker("FC1", "S", "14 kA", poles=3, ampere_rating="30 A", **device),
        contactor("KM1", "FC1", "65 kA", ampere_rating="30 A"),
        motor("MA1", "KM1"),
        edition=EDITION,
    )


def test_a_cheaper_device_that_is_certified_for_another_country_alone_is_not_taken() -> None:
    cheap = offer("B-US", "circuit_breaker", "10", **FIELDS, standards=["UL 489"])
    dear = offer("B-CA", "circuit_breaker", "90", **FIELDS, standards=["UL 489", "CSA C22.2 No. 5"])
    found = plan(starter(), catalogue(cheap, dear), 65 * KA)

    assert found.best is not None and found.proved and found.best.cost == Decimal(90)
    assert [change.after for change in found.best.changes] == ["B-CA"]
    assert found.best.rating.method.edition == EDITION
    assert sccr.rate(found.best.document, catalogue(cheap, dear)) == found.best.rating
    by_ul = plan({**starter(), "edition": "UL 508A:2018"}, catalogue(cheap, dear), 65 * KA)
    assert by_ul.best is not None and by_ul.best.cost == Decimal(10)


def test_a_device_that_is_not_certified_is_exchanged_even_where_its_rating_would_do() -> None:
    document = starter(standards=["UL 489"])
    right = offer("B-CA", "circuit_breaker", "90", **FIELDS, standards=["CSA C22.2 No. 5"])
    found = plan(document, catalogue(right), 10 * KA)

    assert sccr.rate(document).rating is None
    assert found.best is not None and found.proved
    assert [change.after for change in found.best.changes] == ["B-CA"]


def test_where_no_device_is_certified_the_place_is_named() -> None:
    wrong = offer("B-US", "circuit_breaker", "10", **FIELDS, standards=["UL 489"])
    found = plan(starter(), catalogue(wrong), 65 * KA)

    assert found.best is None and found.proved
    assert [block.component for block in found.blocked] == ["FC1"]
    assert found.blocked[0].reason.endswith("the best of all is worth 14 kA")


@pytest.mark.parametrize("block", range(3))
def test_the_optimum_is_that_of_trying_everything(block: int) -> None:
    """The random orders of UL 508A, with a standard of Canada for each second device on offer."""
    reached = 0
    for seed in range(block * 20, block * 20 + 20):
        order = random_order(seed)
        stated = (["UL 489"], ["UL 489", "CSA C22.2 No. 5"])
        offers = [{**o, "standards": stated[n % 2]} for n, o in enumerate(order.offers)]
        canadian = Order({**order.document, "edition": EDITION}, offers, order.target, order.main)
        found = plan(canadian.document, canadian.catalogue, canadian.target, alternatives=0)
        expected = least_cost(canadian)
        assert (found.best.cost if found.best else None) == expected, seed
        assert found.proved, seed
        reached += bool(expected)

    assert reached > 2
