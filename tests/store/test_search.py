"""The search finds what a reader of the catalogue would, and no more."""

import json
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from statistics import median
from typing import Any

import pytest
from hypothesis import HealthCheck
from hypothesis import given
from hypothesis import settings
from hypothesis import strategies as st
from sqlalchemy.engine import URL

from api.store import PartQuery
from api.store import Put
from api.store import Store
from api.store import open_store
from sccr import Catalogue
from sccr.panel.component import SupplyType
from sccr.panel.feeds import system_feed
from sccr.panel.voltage import Form
from sccr.panel.voltage import System
from sccr.panel.voltage import Voltage
from sccr.schema.catalogue import Part
from sccr.ul508a.subject import serves

from .conftest import CATALOGUE
from .conftest import SetClock
from .databases import fresh
from .large import QUERIES
from .large import parts as many_parts
from .large import searches

WYE = Voltage(480_000, 277_000, Form.WYE)
THREE_WIRE = Voltage(240_000, 120_000, Form.THREE_WIRE)
_RATED_600 = {"voltage": "600 V", "current": "10 kA"}
#: A part for each way that a voltage is marked.
MARKED: list[dict[str, Any]] = [
    {"part": "straight", "kind": "contactor", "voltage_rating": "480 V"},
    {"part": "wye", "kind": "contactor", "voltage_rating": "480Y/277 V"},
    {"part": "three-wire", "kind": "contactor", "voltage_rating": "240/120 V"},
    {"part": "none", "kind": "contactor"},
    {
        "part": "by ratings",
        "kind": "circuit_breaker",
        "interrupting_ratings": [
            {"voltage": "480Y/277 V", "current": "35 kA"},
            {"voltage": "240 V", "current": "65 kA"},
            {"voltage": "125 V", "current": "10 kA", "supply": "dc"},
        ],
    },
    {
        "part": "less than its ratings",
        "kind": "circuit_breaker",
        "voltage_rating": "240 V",
        "interrupting_ratings": [{"voltage": "480 V", "current": "35 kA"}],
    },
    {
        "part": "withstand",
        "kind": "terminal_block",
        "short_circuit_ratings": [{"voltage": "600 V", "current": "10 kA"}],
    },
    {"part": "transformer", "kind": "transformer", "transformer": {"primary": "480 V", "secondary": "120 V"}},
]


@pytest.fixture(scope="module")
def demo_parts() -> list[Part]:
    return list(Catalogue.from_document(CATALOGUE.read_bytes()).parts.values())


@pytest.fixture(scope="module", params=["sqlite", "postgresql"])
def demo(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory, demo_parts: list[Part]
) -> Iterator[Store]:
    """A store with the demo catalogue, which the tests here only read."""
    server: URL | None = request.getfixturevalue("postgresql_server") if request.param == "postgresql" else None
    with fresh(server, tmp_path_factory.mktemp("demo")) as url, closing(open_store(url, clock=SetClock())) as store:
        version = store.apply_changes([Put(document) for document in documents()], "me")
        assert version.parts == len(demo_parts)
        yield store


def documents() -> list[dict[str, Any]]:
    found = json.loads(CATALOGUE.read_bytes())["parts"]
    assert isinstance(found, list)
    return found


def names(store: Store, query: PartQuery) -> set[str]:
    return {part.part for part in store.search(query, limit=1_000).items}


@pytest.mark.parametrize(
    ("voltage", "system", "supply", "found"),
    [
        (Voltage(480_000), None, SupplyType.AC, {"straight", "withstand", "transformer"}),
        (WYE, None, SupplyType.AC, {"straight", "wye", "by ratings", "withstand", "transformer"}),
        (
            *(Voltage(480_000), System.SOLIDLY_GROUNDED_WYE, SupplyType.AC),
            {"straight", "wye", "by ratings", "withstand", "transformer"},
        ),
        (WYE, System.UNGROUNDED_DELTA, SupplyType.AC, {"straight", "withstand", "transformer"}),
        (Voltage(600_000), None, SupplyType.AC, {"withstand"}),
        (
            *(THREE_WIRE, None, SupplyType.AC),
            {"straight", "three-wire", "by ratings", "less than its ratings", "withstand", "transformer"},
        ),
        (
            *(Voltage(240_000), System.SINGLE_PHASE_TWO_WIRE, SupplyType.AC),
            {"straight", "by ratings", "less than its ratings", "withstand", "transformer"},
        ),
        (Voltage(125_000), System.DC, SupplyType.DC, {"straight", "by ratings", "less than its ratings"}),
        (Voltage(250_000), System.DC, SupplyType.DC, {"straight"}),
    ],
)
def test_a_part_may_be_used_at_a_voltage(
    store: Store, voltage: Voltage, system: System | None, supply: SupplyType, found: set[str]
) -> None:
    store.apply_changes([Put(part) for part in MARKED], "me")
    assert names(store, PartQuery(voltage=voltage, system=system, supply=supply)) == found


def test_a_slash_rating_must_cover_both_voltages(store: Store) -> None:
    store.apply_changes([Put(part) for part in MARKED], "me")
    higher = Voltage(480_000, 278_000, Form.WYE)
    assert names(store, PartQuery(voltage=higher)) == {"straight", "withstand", "transformer"}


@pytest.mark.parametrize(
    ("kiloamperes", "voltage", "found"),
    [
        (35, None, {"by ratings", "less than its ratings"}),
        (65, None, {"by ratings"}),
        (66, None, set()),
        (35, WYE, {"by ratings"}),
        (36, WYE, set()),
        (65, Voltage(240_000), {"by ratings"}),
    ],
)
def test_a_breaker_interrupts_at_a_voltage(
    store: Store, kiloamperes: int, voltage: Voltage | None, found: set[str]
) -> None:
    store.apply_changes([Put(part) for part in MARKED], "me")
    assert names(store, PartQuery(voltage=voltage, interrupting_ma=kiloamperes * 1_000_000)) == found


@pytest.mark.parametrize(
    ("standard", "matches"),
    [
        ("UL 489", True),
        ("ul 489", True),
        ("CSA", True),
        ("CSA C22.2", True),
        ("IEC 60947", True),
        ("IEC 60947-2", True),
        ("IEC", True),
        ("UL 48", False),
        ("IEC 6094", False),
        ("UL 489 ", False),
        ("489", False),
        ("%", False),
        ("", False),
    ],
)
def test_a_standard_is_found_by_its_name_or_the_beginning_of_it(store: Store, standard: str, matches: bool) -> None:
    breaker = {"part": "A", "kind": "circuit_breaker", "standards": ["UL 489", "CSA C22.2 No. 5", "IEC 60947-2"]}
    store.apply_changes([Put(breaker), Put({"part": "B", "kind": "motor"})], "me")
    assert names(store, PartQuery(standard=standard)) == ({"A"} if matches else set())


@pytest.mark.parametrize(
    ("text", "found"),
    [("oat", {"OAT_1", "OATS"}), ("Leg", {"OATS"}), ("_", {"OAT_1"}), ("%", set()), ("MÜHLE", {"RYE"}), ("\\", set())],
)
def test_text_is_found_in_number_and_description_without_regard_to_case(
    store: Store, text: str, found: set[str]
) -> None:
    store.apply_changes(
        [
            Put({"part": "OAT_1", "kind": "motor"}),
            Put({"part": "OATS", "kind": "motor", "description": "Elevator leg"}),
            Put({"part": "RYE", "kind": "motor", "description": "Mühle"}),
        ],
        "me",
    )
    assert names(store, PartQuery(text=text)) == found


@st.composite
def queries(draw: st.DrawFn) -> PartQuery:
    """Queries of which each member is now asked and now not, with what the demo catalogue has."""
    parts = documents()

    def maybe(values: list[Any]) -> Any:
        return draw(st.none() | st.sampled_from(values))

    def all_of(name: str) -> list[str]:
        return sorted({each for part in parts for each in part.get(name, ())})

    system = maybe([*System])
    return PartQuery(
        kind=maybe(sorted({part["kind"] for part in parts})),
        poles=maybe([1, 2, 3]),
        voltage=maybe([Voltage(120_000), Voltage(240_000), THREE_WIRE, Voltage(480_000), WYE, Voltage(600_000)]),
        system=system,
        ampere_ma_min=maybe([500, 20_000, 30_000]),
        ampere_ma_max=maybe([15_000, 30_000, 100_000]),
        interrupting_ma=maybe([5_000_000, 14_000_000, 35_000_000, 65_000_000]),
        supply=SupplyType.DC if system is System.DC else SupplyType.AC,
        standard=maybe(all_of("standards")),
        mounting=maybe(sorted({part["mounting"] for part in parts if "mounting" in part})),
        accessory=maybe(all_of("accessories") or ["none"]),
        text=maybe(["oat", "breaker", "h"]),
    )


def wanted(part: Part, query: PartQuery) -> bool:
    """Whether a part is what a query asks for: by the engine's own rule, and one part at a time."""
    fields = part.fields
    amperes = fields.get("ampere_rating")
    text = f"{part.part}\n{part.description or ''}".casefold()
    interrupting = fields.get("interrupting_ratings", ())
    marked = [fields["voltage_rating"]] if "voltage_rating" in fields else []
    applied = [(voltage, supply) for voltage in marked for supply in SupplyType] or [
        (rating.voltage, rating.supply) for rating in (*interrupting, *fields.get("short_circuit_ratings", ()))
    ]
    if not marked and "transformer" in fields and fields["transformer"].primary is not None:
        applied.append((fields["transformer"].primary, SupplyType.AC))
    return all(
        [
            query.kind in (None, part.kind.name),
            query.poles in (None, fields.get("poles")),
            query.ampere_ma_min is None or (amperes is not None and amperes >= query.ampere_ma_min),
            query.ampere_ma_max is None or (amperes is not None and amperes <= query.ampere_ma_max),
            query.mounting in (None, fields.get("mounting")),
            query.standard is None or query.standard in fields.get("standards", ()),
            query.accessory is None or query.accessory in fields.get("accessories", ()),
            query.text is None or query.text in text,
            query.voltage is None or any(usable(*each, query) for each in applied),
            query.interrupting_ma is None
            or any(r.current >= query.interrupting_ma and usable(r.voltage, r.supply, query) for r in interrupting),
        ]
    )


def usable(voltage: Voltage, supply: SupplyType, query: PartQuery) -> bool:
    if query.voltage is None:
        return supply is query.supply
    slash = {Form.WYE: System.SOLIDLY_GROUNDED_WYE, Form.THREE_WIRE: System.SINGLE_PHASE_THREE_WIRE}
    system = query.system or slash.get(query.voltage.form, System.UNGROUNDED_DELTA)
    if query.supply is SupplyType.DC:
        system = System.DC
    return serves(voltage, supply, system_feed("supply", query.voltage, system, 3 if system.three_phase else 1))


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(query=queries())
def test_the_search_agrees_with_the_rule_of_the_engine(demo: Store, demo_parts: list[Part], query: PartQuery) -> None:
    assert names(demo, query) == {part.part for part in demo_parts if wanted(part, query)}


@pytest.mark.parametrize("limit", [1, 7, 50])
def test_pages_hold_every_part_once_in_order(demo: Store, demo_parts: list[Part], limit: int) -> None:
    read: list[str] = []
    after: str | None = None
    while True:
        page = demo.search(PartQuery(), after, limit)
        assert len(page.items) <= limit
        read += [part.part for part in page.items]
        if page.next is None:
            break
        assert len(page.items) == limit
        after = page.next
    assert read == sorted(part.part for part in demo_parts)


def test_a_cursor_stays_good_while_parts_come_and_go(store: Store) -> None:
    store.apply_changes([Put({"part": name, "kind": "motor"}) for name in "BDFH"], "me")
    page = store.search(PartQuery(), limit=2)
    assert ([part.part for part in page.items], page.next) == (["B", "D"], "D")
    store.apply_changes([Put({"part": name, "kind": "motor"}) for name in "ACEGI"], "me")
    assert [part.part for part in store.search(PartQuery(), page.next).items] == [*"EFGHI"]
    assert [part.part for part in store.search(PartQuery(), page.next, version=1).items] == [*"FH"]


def test_numbers_sort_by_code_point_in_every_database(store: Store) -> None:
    numbers = ["a", "B", "A", "b", "-1", "10", "9", "ä", "Z", "z", "_", "é", "a b", "a-b", "ab", "🌾", "\uff21"]
    store.apply_changes([Put({"part": name, "kind": "motor"}) for name in numbers], "me")
    assert [part.part for part in store.search(PartQuery()).items] == sorted(numbers)


def test_a_large_catalogue_is_searched_fast(server: URL | None, tmp_path: Path) -> None:
    """A tenth of what `python -m tests.store.large` measures: that no search looks at every part in Python's way."""
    with fresh(server, tmp_path) as url, closing(open_store(url)) as store:
        store.apply_changes([Put(part) for part in many_parts(5_000)], "me")
        for query in QUERIES.values():
            page = store.search(query)
            assert len(page.items) <= 50
        assert median(searches(store).values()) < 50
