"""The one-line diagram: what it shows, and that nothing in it lies on anything else."""

import csv
import json
from collections import Counter
from collections.abc import Iterator
from itertools import combinations
from itertools import pairwise
from math import cos
from math import radians
from math import sin
from pathlib import Path
from random import Random
from typing import Any
from xml.etree import ElementTree

import pytest

import sccr
from sccr.report.diagram.as_svg import as_svg
from sccr.report.diagram.as_svg import sheets
from sccr.report.diagram.as_svg import svg
from sccr.report.diagram.drawing import drawings
from sccr.report.diagram.drawing import whole
from sccr.report.diagram.folding import folded
from sccr.report.diagram.lettering import spelled
from sccr.report.diagram.lettering import width
from sccr.report.diagram.lettering import wrapped
from sccr.report.diagram.nets import Plan
from sccr.report.diagram.nets import nets
from sccr.report.diagram.one_line import Node
from sccr.report.diagram.one_line import one_line
from sccr.report.diagram.placing import placed
from sccr.report.diagram.routing import routed
from sccr.report.diagram.routing import ways
from sccr.report.diagram.scene import Arc
from sccr.report.diagram.scene import Circle
from sccr.report.diagram.scene import Drawing
from sccr.report.diagram.scene import Group
from sccr.report.diagram.scene import Item
from sccr.report.diagram.scene import Line
from sccr.report.diagram.scene import Words
from sccr.report.diagram.symbols import Symbols
from sccr.report.diagram.symbols import has_symbol
from sccr.report.diagram.symbols import symbol
from sccr.units import current_text
from tests.bench.lines import line_of
from tests.drawing import breaker
from tests.drawing import contactor
from tests.drawing import fuse
from tests.drawing import motor
from tests.drawing import panel
from tests.drawing import part
from tests.drawing import transformer
from tests.oracle.panels import random_panel

ROOT = Path(__file__).parent.parent.parent
PANELS = sorted((ROOT / "fixtures/panels").glob("*.json"))
CATALOGUE = sccr.Catalogue.from_document(json.loads((ROOT / "fixtures/catalogue/grain.json").read_text("utf-8")))
SVG = "{http://www.w3.org/2000/svg}"

Rated = tuple[sccr.Rating, dict[str, Any]]
Box = tuple[float, float, float, float]


def rated(document: dict[str, Any]) -> Rated:
    return sccr.rate(document, CATALOGUE), document


def fixture(name: str) -> Rated:
    return rated(json.loads((ROOT / f"fixtures/panels/{name}.json").read_text("utf-8")))


def components(text: str) -> dict[str, ElementTree.Element]:
    """The groups of an SVG that carry an id."""
    groups = [g for g in ElementTree.fromstring(text).iter(f"{SVG}g") if "data-component" in g.attrib]
    found = {g.attrib["data-component"]: g for g in groups}
    assert len(found) == len(groups)
    return found


def texts(group: ElementTree.Element) -> list[str]:
    return [text.text or "" for text in group.iter(f"{SVG}text")]


def boxes(items: Iterator[Item] | tuple[Item, ...]) -> Iterator[Box]:
    """The rectangle that each item takes up: left, top, right, bottom."""
    for item in items:
        if isinstance(item, Words):
            room = width(item.text, item.size, item.bold)
            left = item.x - {"start": 0.0, "middle": room / 2, "end": room}[item.anchor]
            yield left, item.y - item.size * 0.8, left + room, item.y + item.size * 0.25
        elif isinstance(item, Line):
            xs, ys = zip(*item.points, strict=True)
            yield min(xs), min(ys), max(xs), max(ys)
        elif isinstance(item, Arc):
            angles = [radians(item.start + item.sweep * step / 16) for step in range(17)]
            xs, ys = zip(*((item.x + item.radius * cos(a), item.y + item.radius * sin(a)) for a in angles), strict=True)
            yield min(xs), min(ys), max(xs), max(ys)
        else:
            yield item.x - item.radius, item.y - item.radius, item.x + item.radius, item.y + item.radius


def box_of(group: Group) -> Box:
    lefts, tops, rights, bottoms = zip(*boxes(group.items), strict=True)
    return min(lefts), min(tops), max(rights), max(bottoms)


def overlap(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def all_drawings() -> Iterator[tuple[str, Drawing]]:
    for path in PANELS:
        rating, document = rated(json.loads(path.read_text("utf-8")))
        for symbols in Symbols:
            yield path.stem, whole(rating, document, symbols)
            yield from ((path.stem, drawing) for drawing in drawings(rating, document, symbols))


# --- symbols


@pytest.mark.parametrize("symbols", Symbols)
def test_every_kind_has_a_symbol_that_stays_in_its_column(symbols: Symbols) -> None:
    kinds = [row["kind"] for row in csv.DictReader((ROOT / "sccr/panel/kinds.csv").read_text("utf-8").splitlines())]

    for kind in [*kinds, "supply", "dc_supply"]:
        assert has_symbol(kind, symbols), kind
        for left, top, right, bottom in boxes(symbol(kind, symbols)):
            assert left >= -4.6 and right <= 4.6 and top >= -0.1 and bottom <= 12.1, kind


def test_the_two_standards_draw_what_protects_differently() -> None:
    for kind in ("circuit_breaker", "fuse", "contactor", "overload_relay", "transformer", "disconnect_switch"):
        assert symbol(kind, Symbols.ANSI) != symbol(kind, Symbols.IEC)


@pytest.mark.parametrize("symbols", Symbols)
def test_no_two_kinds_that_limit_a_panel_look_the_same(symbols: Symbols) -> None:
    kinds = (
        "circuit_breaker",
        "supplementary_protector",
        "fuse",
        "fuseholder",
        "contactor",
        "overload_relay",
        "switch",
    )
    kinds += ("motor_starter", "manual_motor_controller", "combination_motor_controller", "soft_starter", "drive")
    drawn = [symbol(kind, symbols) for kind in kinds]

    assert all(one != other for one, other in combinations(drawn, 2))


# --- what is shown


@pytest.mark.parametrize("path", PANELS, ids=lambda path: path.stem)
@pytest.mark.parametrize("symbols", Symbols)
def test_every_supply_and_component_stands_there_once(path: Path, symbols: Symbols) -> None:
    rating, document = rated(json.loads(path.read_text("utf-8")))
    found = components(as_svg(rating, document, symbols=symbols))

    upstream = {f"{s['id']}:upstream" for s in document["supplies"] if "upstream_protection" in s}
    assert set(found) == {each["id"] for each in document["supplies"] + document["components"]} | upstream
    for component in rating.components:
        group = found[component.id]
        assert component.id in "".join(texts(group))
        assert f"kind-{component.kind.replace('_', '-')}" in group.attrib["class"]
        if component.value is not None:
            assert f"{current_text(component.value)}, {component.basis}" in " ".join(texts(group))


def test_the_svg_has_attributes_only_and_no_style_or_script() -> None:
    rating, document = fixture("whole_line")
    tree = ElementTree.fromstring(as_svg(rating, document))

    assert {e.tag for e in tree.iter()} == {
        SVG + t for t in ("svg", "title", "g", "text", "polyline", "circle", "path")
    }
    names = {name for element in tree.iter() for name in element.attrib}
    assert not {name for name in names if name.startswith("on") or name in ("style", "href", "id")}


def test_markup_in_an_id_is_text_and_no_character_breaks_the_xml() -> None:
    names = ['<script>alert("1")</script>', "a&b", "'\"", "日本", "a  b"]
    document = panel(*(breaker(name) for name in names))
    found = components(as_svg(*rated(document)))

    assert set(names) <= set(found)
    assert "".join(texts(found[names[0]])[:2]).startswith("<script>")


def test_a_code_point_that_xml_cannot_hold_is_replaced() -> None:
    drawing = Drawing(9, 9, (Group((Words(0, 0, "a\ufffeb", 2),), ("x",), "\uffff", "\ufffe"),), "t\uffff")

    assert ElementTree.fromstring(svg(drawing)) is not None


def test_what_limits_is_marked_and_the_path_to_it_is_double() -> None:
    rating, document = fixture("all_marked")
    found = components(as_svg(rating, document))

    assert {name for name, g in found.items() if "limits" in g.attrib["class"].split()} == {"-QA1"}
    assert {name for name, g in found.items() if "path" in g.attrib["class"].split()} == {"MAINS", "-FC1", "-QA1"}
    assert texts(found["-QA1"])[-1] == "LIMITS"
    path = next(group for group in whole(rating, document).groups if group.classes == ("wire", "path"))
    heavy, cores = path.items[: len(path.items) // 2], path.items[len(path.items) // 2 :]
    assert len(heavy) == 2
    for outer, core in zip(heavy, cores, strict=True):
        assert isinstance(outer, Line) and isinstance(core, Line)
        assert outer.points == core.points
        assert outer.width >= 2 * core.width and core.colour == "#ffffff"


def test_every_one_of_several_limits_is_marked() -> None:
    rating, document = fixture("two_weakest_links")
    found = components(as_svg(rating, document))

    marked = {name for name, g in found.items() if "limits" in g.attrib["class"].split()}
    assert marked == {limit.component for limit in rating.limited_by}
    assert len(marked) > 1


def test_what_withholds_the_rating_is_marked_and_nothing_limits() -> None:
    rating, document = fixture("slash_rating_on_delta")
    text = as_svg(rating, document)

    assert texts(components(text)["-FC1"])[-2:] == ["no value that holds", "WITHHOLDS"]
    assert "LIMITS" not in text


def test_a_credit_is_shown_beside_the_value() -> None:
    rating, document = fixture("current_limiting_feeder_fuse")
    credited = [c for c in rating.components if c.value is not None and c.after != c.value]

    assert credited
    found = components(as_svg(rating, document))
    for component in credited:
        assert any(text.startswith("credited ") for text in texts(found[component.id]))


def test_a_winding_and_an_upstream_device_are_connected_through() -> None:
    supply = {
        "voltage": "480Y/277 V",
        "system": "solidly_grounded_wye",
        "upstream_protection": {"device": "fuse", "fuse_class": "J", "ampere_rating": "100 A"},
    }
    document = panel(
        fuse("FU1", "S"), transformer("TA1", "FU1", secondary=["120 V", "24 V"]), breaker("FC2", "TA1/2"), supply=supply
    )
    nodes = one_line(*rated(document)).nodes

    assert nodes["S:upstream"].fed_from == ("S",)
    assert nodes["FU1"].fed_from == ("S:upstream",)
    assert nodes["FC2"].fed_from == ("TA1",)


def test_a_direct_current_supply_has_its_own_symbol() -> None:
    assert "kind-dc-supply" in as_svg(*fixture("dc_conveyor"))


def test_the_same_rating_gives_the_same_drawing() -> None:
    assert as_svg(*fixture("whole_line")) == as_svg(*fixture("whole_line"))


# --- where it stands


def test_nothing_lies_on_anything_else_and_nothing_leaves_the_sheet() -> None:
    for name, drawing in all_drawings():
        groups = [(group.component, box_of(group)) for group in drawing.groups if group.component is not None]
        for (one, first), (other, second) in combinations(groups, 2):
            assert not overlap(first, second), (name, one, other)
        for group in drawing.groups:
            if group.items:
                left, top, right, bottom = box_of(group)
                assert left >= -0.6 and top >= -0.1, (name, group.component)
                assert right <= drawing.width + 0.1 and bottom <= drawing.height + 0.1, (name, group.component)


def test_no_wire_runs_through_a_component() -> None:
    for name, drawing in all_drawings():
        groups = [(group.component, box_of(group)) for group in drawing.groups if group.component is not None]
        lines = [line for group in drawing.groups if group.classes == ("wire",) for line in group.items]
        for line in lines:
            assert isinstance(line, Line)
            for one, other in pairwise(line.points):
                piece = (min(one[0], other[0]), min(one[1], other[1]), max(one[0], other[0]), max(one[1], other[1]))
                for component, (left, top, right, bottom) in groups:
                    inner = (left, top + 0.05, right, top + 11.95 if bottom > top + 11.95 else bottom - 0.05)
                    assert not overlap(piece, inner) or piece[1] >= top + 7.9, (name, component)


def graph(random: Random, count: int) -> dict[str, Node]:
    """A random diagram in which some nodes have several sources."""
    nodes: dict[str, Node] = {}
    for number in range(count):
        sources = random.sample(list(nodes), min(len(nodes), random.choice((1, 1, 1, 1, 2, 3))))
        if number in (0, 1):
            sources = []
        name = f"N{number}"
        nodes[name] = Node(name, "supply" if not sources else "contactor", tuple(sources), {})
    return nodes


def plan_of(nodes: dict[str, Node], columns: int, height: float) -> tuple[Plan, list[tuple[str, ...]]]:
    places = placed(nodes)
    found = folded(places, dict.fromkeys(nodes, 15.0), columns, height)
    feeds = {name: tuple(n for n, node in nodes.items() if name in node.fed_from) for name in nodes}
    sheet = {name: number for number, names in enumerate(found, start=1) for name in names}
    fed_from = {name: node.fed_from for name, node in nodes.items()}
    return Plan(fed_from, feeds, places, sheet, {name: name for name in nodes}), found


@pytest.mark.parametrize("seed", range(60))
def test_every_cell_is_taken_once_and_every_wire_is_drawn_clear_of_others(seed: int) -> None:
    random = Random(seed)
    nodes = graph(random, random.randint(2, 60))
    columns = random.choice((3, 5, 10_000))
    plan, found = plan_of(nodes, columns, random.choice((100.0, 1e9)))

    assert sorted(name for names in found for name in names) == sorted(nodes)
    cells = Counter((place.column, place.layer) for place in plan.places.values())
    assert set(cells.values()) == {1}
    for name, node in nodes.items():
        assert all(plan.places[source].layer < plan.places[name].layer for source in node.fed_from)
    connected = Counter()
    for names in found:
        heights = dict.fromkeys(nodes, 15.0)
        sheet = routed(plan, names, heights, nets(plan, names))
        assert len({plan.places[name].column for name in names}) <= columns
        drawn = list(ways(sheet, plan))
        for net, name, way in drawn:
            if name is not None:
                assert way[-1][1] == sheet.y[plan.places[name].layer]
                assert abs(way[-1][0] - sheet.x[name]) <= 4.0
                connected.update((source, name) for source in net.sources)
        assert_clear(sheet, plan, names, drawn)
    assert connected == Counter((source, name) for name, node in nodes.items() for source in node.fed_from)


def assert_clear(sheet: Any, plan: Plan, names: tuple[str, ...], drawn: list[Any]) -> None:
    """No wire enters a cell that is not its own, and no wire lies along one of another net."""
    pieces = [(net, name, one, other) for net, name, way in drawn for one, other in pairwise(way) if one != other]
    for net, target, one, other in pieces:
        box = (min(one[0], other[0]), min(one[1], other[1]), max(one[0], other[0]), max(one[1], other[1]))
        for name in names:
            x, y = sheet.x[name], sheet.y[plan.places[name].layer]
            if name not in net.sources or not net.here:
                assert not overlap(box, (x - 4.0, y + 0.01, x + 30.0, y + 14.9)), (net, target, name)
    for (net, target, *piece), (other_net, other_target, *other_piece) in combinations(pieces, 2):
        if net is not other_net:
            assert not along(tuple(piece), tuple(other_piece)), (net, target, other_net, other_target)


def along(one: tuple[Any, ...], other: tuple[Any, ...]) -> bool:
    """Whether two pieces of wire lie on one another for more than a point."""
    for axis in (0, 1):
        across = 1 - axis
        if one[0][axis] == one[1][axis] == other[0][axis] == other[1][axis]:
            low = max(min(one[0][across], one[1][across]), min(other[0][across], other[1][across]))
            high = min(max(one[0][across], one[1][across]), max(other[0][across], other[1][across]))
            if high - low > 0.01:
                return True
    return False


def test_a_tree_is_drawn_without_a_crossing() -> None:
    rating, document = rated(line_of(60))
    drawing = whole(rating, document)
    lines = [
        line.points for g in drawing.groups if g.classes == ("wire",) for line in g.items if isinstance(line, Line)
    ]
    pieces = {tuple(sorted(piece)) for way in lines for piece in pairwise(way) if piece[0] != piece[1]}
    across = [p for p in pieces if p[0][1] == p[1][1]]
    down = [p for p in pieces if p[0][0] == p[1][0]]
    crossings = [
        (a, d)
        for a in across
        for d in down
        if a[0][0] < d[0][0] < a[1][0] and d[0][1] < a[0][1] < d[1][1] and d[0][0] != a[0][0]
    ]
    joints = {(c.x, c.y) for g in drawing.groups if g.classes == ("joint",) for c in g.items if isinstance(c, Circle)}

    assert across and not [crossing for crossing in crossings if (crossing[1][0][0], crossing[0][0][1]) not in joints]


def test_wires_that_belong_together_meet_in_a_dot_and_no_others() -> None:
    contactors = [contactor(f"KM{n}", "FC1", "18 kA") for n in range(3)]
    drawing = whole(*rated(panel(breaker("FC1"), *contactors, motor("MA1", ["KM0", "KM2"]))))
    joints = [c for g in drawing.groups if g.classes == ("joint",) for c in g.items if isinstance(c, Circle)]
    bars = [b for g in drawing.groups if g.classes == ("joint",) for b in g.items if isinstance(b, Line)]
    run = joints[0].y

    assert [(c.x, c.y) for c in joints] == [(pytest.approx(x), run) for x in (4.8, 4.8 + 35.4)]
    assert len(bars) == 1  # where two sources of MA1 arrive, each by its own wire


def test_random_panels_are_drawn_whole() -> None:
    for seed in range(40):
        document = random_panel(seed)
        rating = sccr.rate(document)
        names = {each["id"] for each in document["supplies"] + document["components"]}
        assert names <= set(components(as_svg(rating, document)))


# --- folding


def test_three_hundred_components_fold_onto_sheets_that_fit_the_paper() -> None:
    rating, document = rated(line_of(300))
    folded_sheets = drawings(rating, document)

    assert all(drawing.width <= 180 and drawing.height <= 240 for drawing in folded_sheets)
    shown = Counter(g.component for d in folded_sheets for g in d.groups if g.component is not None)
    assert shown == Counter(each["id"] for each in document["supplies"] + document["components"])
    smallest = min(i.size for d in folded_sheets for g in d.groups for i in g.items if isinstance(i, Words))
    assert smallest >= 1.8  # letters inside a symbol; the lettering beside it is larger


def test_a_sheet_names_where_its_wires_come_from_and_go_to() -> None:
    rating, document = rated(line_of(300))
    first, second, *_ = sheets(rating, document)

    assert "XD0 to FC6 (sheet 2), FC7 (sheet 2), FC8 (sheet 2), FC9 (sheet 2), 66 more (sheet 2 to 15)" in first
    assert "from XD0 (sheet 1)" in second
    assert "One-line diagram of LINE-300, sheet 2 of 15" in second


def test_a_deep_chain_is_cut_between_layers() -> None:
    chain = [part("terminal_block", f"XT{n}", f"XT{n - 1}" if n else "S") for n in range(60)]
    rating, document = rated(panel(*chain, breaker("FC1", "XT59")))
    folded_sheets = drawings(rating, document)

    assert len(folded_sheets) > 2
    assert all(drawing.height <= 240 for drawing in folded_sheets)


def test_a_diagram_of_thousands_in_a_row_does_not_exhaust_the_stack() -> None:
    chain = [part("terminal_block", f"XT{n}", f"XT{n - 1}" if n else "S") for n in range(3000)]
    rating, document = rated(panel(*chain, breaker("FC1", "XT2999")))

    assert as_svg(rating, document).count("data-component") == 3002


def test_sources_of_one_load_stand_side_by_side() -> None:
    document = panel(
        breaker("FC1", "A"),
        breaker("FC2", "B"),
        part("switch", "Q1", ["FC1", "FC2"]),
        *(contactor(f"K{n}", "Q1") for n in range(5)),
        motor("M1", "K0"),
        supplies=[{"id": s, "voltage": "480 V", "system": "ungrounded_delta"} for s in ("A", "B")],
    )
    places = placed(one_line(*rated(document)).nodes)

    assert (places["A"].column, places["B"].column) == (0, 1)
    assert places["Q1"].layer == 2


# --- lettering


def test_text_is_broken_to_its_room_and_nothing_is_lost() -> None:
    random = Random(7)
    for _ in range(200):
        text = "".join(random.choice("aWi-/ 日Ω1") for _ in range(random.randint(1, 80))).strip()
        lines = wrapped(text, 20.0, 2.3)
        assert all(width(line, 2.3) <= 20.0 or len(line) == 1 for line in lines)
        assert "".join(lines).replace(" ", "") == text.replace(" ", "")


def test_what_the_letters_lack_is_spelled() -> None:
    assert spelled("-QA1 Ä Ω Ж") == "-QA1 Ä Ω Ж"
    assert spelled("盤1") == "<U+76E4>1"
    assert spelled("a\u202eb\u200bc") == "a<U+202E>b<U+200B>c"
