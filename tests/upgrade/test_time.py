"""What is answered when the time is up, and that numbers stay exact."""

import random
from dataclasses import replace
from decimal import Decimal
from time import monotonic

import pytest

from sccr.upgrade import plan
from sccr.upgrade.model import Model
from sccr.upgrade.weights import weights
from tests.drawing import contactor
from tests.drawing import fuse
from tests.drawing import panel
from tests.drawing import withstands
from tests.upgrade.small_orders import KA
from tests.upgrade.small_orders import catalogue
from tests.upgrade.small_orders import offer


def covering(size: int = 120) -> Model:
    """A covering problem that takes long to prove: each of many threes holds one that is taken."""
    draw, model = random.Random(7), Model()
    choices = [model.choice(draw.randint(90, 110)) for _ in range(size)]
    for _ in range(size * 6):
        model.any_of(draw.sample(choices, 3))
    return model


def test_a_bound_is_proved_even_where_the_optimum_is_not() -> None:
    model = covering()
    found = model.solve(0.5)

    assert found is not None and not found.proved and not model.impossible
    assert 0 < found.bound < sum(model.weights[n] for n in found.taken)


def test_the_gap_is_the_share_by_which_a_plan_may_be_dearer() -> None:
    weak = panel(fuse("FC1", "S"), contactor("KM1", "FC1", "5 kA", ampere_rating="30 A"))
    better = offer("K", "contactor", "40", ampere_rating="30 A", short_circuit_ratings=withstands("65 kA"))
    found = plan(weak, catalogue(better), 10 * KA)

    assert found.gap == 0 and found.as_dict()["gap"] == "0.0000"
    unproved = replace(found, proved=False, bound=Decimal(30))
    assert unproved.gap == Decimal("0.25")
    assert unproved.as_dict()["lower_bound"] == "30"


def test_without_time_nothing_is_claimed() -> None:
    weak = panel(fuse("FC1", "S"), contactor("KM1", "FC1", "5 kA", ampere_rating="30 A"))
    better = offer("K", "contactor", "40", ampere_rating="30 A", short_circuit_ratings=withstands("65 kA"))
    found = plan(weak, catalogue(better), 10 * KA, time_limit=0)

    assert (found.best, found.proved, found.bound, found.blocked) == (None, False, 0, ())


def test_the_time_holds_while_a_large_catalogue_is_looked_through() -> None:
    """Hundreds of contactors, each of another rating, with hundreds of fuses ahead of them."""
    fuses = [
        offer(f"F{n}", "fuse", "1", fuse_class="J", ampere_rating="60 A", voltage_rating=f"{500 + n} V")
        for n in range(200)
    ]
    j = {"device": "fuse", "fuse_classes": ["J"], "max_ampere_rating": "60 A"}
    tested = [[{"current": f"{5 + n} kA", "voltage": "600 V", "protected_by": j}] for n in range(400)]
    contactors = [
        offer(f"K{n}", "contactor", "1", ampere_rating="30 A", short_circuit_ratings=each)
        for n, each in enumerate(tested)
    ]
    document = panel(fuse("FC1", "S"), *(contactor(f"KM{n}", "FC1", "5 kA", ampere_rating="30 A") for n in range(5)))
    parts = catalogue(*fuses, *contactors)
    start = monotonic()
    found = plan(document, parts, 300 * KA, time_limit=0.3)

    assert monotonic() - start < 5
    assert found.best is None and not found.proved


def test_prices_that_differ_in_the_last_decimal_are_told_apart() -> None:
    weak = panel(fuse("FC1", "S"), contactor("KM1", "FC1", "5 kA", ampere_rating="30 A"))
    fields = {"ampere_rating": "30 A", "short_circuit_ratings": withstands("65 kA")}
    names = {"K-DEAR": "1234567.000001", "K-CHEAP": "1234567.000000", "K-STOCK": "1234567.000001"}
    offers = [offer(n, "contactor", p, **fields, **({"stock": 9} if n == "K-STOCK" else {})) for n, p in names.items()]
    found = plan(weak, catalogue(*offers), 10 * KA)

    assert [change.after for change in found.best.changes] == ["K-CHEAP"]
    assert [p.changes[0].after for p in found.alternatives] == ["K-STOCK", "K-DEAR"]
    assert found.best.cost == Decimal("1234567")


def test_prices_that_cannot_be_added_exactly_are_refused() -> None:
    with pytest.raises(ValueError, match="too large"):
        weights([[Decimal(0), Decimal("1000000000000"), Decimal("0.000001")]])


def test_a_bound_is_never_read_too_high() -> None:
    """Three places, prices in hundredths: a weight is the price in hundredths times four."""
    found = weights([[Decimal(0), Decimal("12.34")], [Decimal("0.5")], [Decimal(7)]])

    assert found.weight(Decimal("12.34")) == 1234 * 4
    assert found.cost(1234 * 4) == found.cost(1234 * 4 + 3) == Decimal("12.34")
    assert found.cost(1234 * 4 - 0.5) == Decimal("12.34")  # a whole number of at least that much
    assert found.cost(1234 * 4 - 1.5) == Decimal("12.33")
    assert found.cost(-1.0) == 0
