"""The one-line diagram: roles are found from the graph, nobody states them."""

import random

import networkx as nx

from sccr import load_panel
from sccr.panel.one_line import OneLine
from tests.drawing import breaker
from tests.drawing import contactor
from tests.drawing import fuse
from tests.drawing import motor
from tests.drawing import panel
from tests.drawing import part
from tests.drawing import transformer
from tests.oracle.panels import random_panel


def drawn(*components: dict, **more: object) -> OneLine:
    return OneLine(load_panel(panel(*components, **more)))


def test_components_stand_line_side_before_load_side_else_as_written() -> None:
    one_line = drawn(motor("M", "K"), contactor("K", "F"), breaker("G"), breaker("F"), contactor("L", "G"))

    assert one_line.order == ("G", "F", "K", "M", "L")


def test_a_document_in_order_is_taken_as_networkx_would_sort_it() -> None:
    for seed in range(90_000, 90_100):
        document = random_panel(seed)
        for shuffled in (False, True):
            if shuffled:
                random.Random(seed).shuffle(document["components"])
            one_line = OneLine(load_panel(document))
            graph = nx.DiGraph(
                [(source.id, name) for name, sources in one_line.line_side.items() for source in sources]
            )
            written = [*one_line.supplies, *one_line.components]
            graph.add_nodes_from(written)
            expected = nx.lexicographical_topological_sort(graph, key=written.index)
            assert one_line.order == tuple(name for name in expected if name in one_line.components), seed


def test_the_nearest_protection_of_each_path() -> None:
    one_line = drawn(breaker("QA1"), fuse("FU1", "QA1"), contactor("KM1", ["FU1", "S"]), motor("MA1", "KM1"))

    assert one_line.protection["FU1"] == {"QA1"}
    assert one_line.protection["KM1"] == one_line.protection["MA1"] == {"FU1", None}
    assert one_line.nearest_protection("KM1") == (None, "FU1")


def test_a_supplementary_protector_and_a_field_device_protect_nothing() -> None:
    one_line = drawn(
        breaker("QA1"),
        part("supplementary_protector", "FC1", "QA1"),
        breaker("FC2", "FC1", location="field"),
        motor("M", "FC2"),
    )

    assert one_line.protection["M"] == {"QA1"}


def test_a_controller_protects_only_where_it_is_marked_self_protected() -> None:
    for marked in (True, False):
        controller = part("manual_motor_controller", "QA2", "QA1", self_protected=marked)
        one_line = drawn(breaker("QA1"), controller, motor("M", "QA2"))
        assert one_line.protection["M"] == ({"QA2"} if marked else {"QA1"})


def test_feeder_is_what_has_power_protection_behind_it_through_transformers_too() -> None:
    one_line = drawn(
        breaker("QA1"),
        transformer("TA1", "QA1", secondary=["240 V", "120 V"]),
        breaker("FC1", "TA1/1"),
        breaker("FC2", "TA1/2", circuit="control"),
    )

    assert one_line.power_protection_behind == {"QA1", "TA1"}
    assert [source.winding for source in one_line.line_side["FC2"]] == [2]


def test_upstream_protection_stands_ahead_of_everything() -> None:
    upstream = {"device": "fuse", "fuse_class": "J", "ampere_rating": "60 A"}
    supply = {"id": "S", "voltage": "480 V", "system": "ungrounded_delta", "upstream_protection": upstream}
    one_line = drawn(contactor("KM1"), motor("M", "KM1"), supplies=[supply])
    (device,) = one_line.nearest_protection("M")

    assert one_line.device(device).fuse_class == "J"


def test_an_id_with_a_slash_is_an_id() -> None:
    one_line = drawn(breaker("A/2"), contactor("K", "A/2"))

    assert one_line.line_side["K"][0].id == "A/2"
