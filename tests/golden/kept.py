"""The kept panels and their ratings: how they are read, rated again, and written.

`panels.ndjson.xz` holds a line a panel: its name, its document and the whole answer, without the engine's version.
`ratings.csv` says the same in short, for the eye and for a difference that can be read.
"""

import csv
import io
import json
import lzma
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from typing import Final

import sccr
from sccr import Catalogue
from tests.oracle.edges import edge_panels
from tests.oracle.panels import random_panel
from tests.oracle_iec.panels import random_panel as random_iec_panel

HERE: Final = Path(__file__).parent
ROOT: Final = HERE.parents[1]
PANELS: Final = HERE / "panels.ndjson.xz"
RATINGS: Final = HERE / "ratings.csv"
VERSION: Final = HERE / "engine_version.txt"

#: Drawn once; the documents are kept, so that a change of what draws them changes nothing here.
DRAWN: Final = 400
EDGES: Final = 100
#: As many by IEC 61439.
DRAWN_IEC: Final = 200
_DRAWN_NAMES: Final = ("random_", "edge_", "iec_")


def catalogue() -> Catalogue:
    """Return the catalogue of invented parts that the fixtures name."""
    return Catalogue.from_document((ROOT / "fixtures" / "catalogue" / "grain.json").read_bytes())


def drawn() -> Iterator[tuple[str, dict[str, Any]]]:
    """Yield the panels to keep: each fixture, then random ones, some on the edges of the tables, and some by IEC."""
    for path in sorted((ROOT / "fixtures" / "panels").glob("*.json")):
        yield path.stem, json.loads(path.read_text("utf-8"))
    yield from several_worlds()
    for seed in range(DRAWN):
        yield f"random_{seed}", random_panel(2_000_000 + seed)
    edges = list(edge_panels())
    for number in range(EDGES):
        yield f"edge_{number}", edges[number * len(edges) // EDGES]
    for seed in range(DRAWN_IEC):
        yield f"iec_{seed}", random_iec_panel(2_000_000 + seed)


def several_worlds() -> Iterator[tuple[str, dict[str, Any]]]:
    """Yield the demo for several markets, each document once by each edition that it names."""
    for path in sorted((ROOT / "fixtures" / "worlds").glob("*.json")):
        document = json.loads(path.read_text("utf-8"))
        editions = document.pop("editions", None) or [document["edition"]]
        for edition in editions:
            yield f"{path.stem} by {edition}", {**document, "edition": edition}


def rated(name: str, document: dict[str, Any], parts: Catalogue) -> dict[str, Any]:
    """Return the whole answer for a panel, but for the version of the engine that gave it.

    The fixtures name parts of the catalogue; the numbers of parts in a drawn panel are of no catalogue.
    """
    answer: dict[str, Any] = sccr.rate(document, None if _drawn(name) else parts).as_dict()
    answer["method"].pop("engine_version")
    return answer


def _drawn(name: str) -> bool:
    return name.startswith(_DRAWN_NAMES)


def kept() -> list[dict[str, Any]]:
    """Return what is kept, in order: `name`, `document` and `answer`."""
    return [json.loads(line) for line in lzma.decompress(PANELS.read_bytes()).decode("utf-8").splitlines()]


def write(panels: list[tuple[str, dict[str, Any]]], version: str) -> None:
    """Keep the ratings of panels as this engine gives them."""
    parts = catalogue()
    lines = [{"name": name, "document": document, "answer": rated(name, document, parts)} for name, document in panels]
    text = "".join(json.dumps(line, ensure_ascii=False, separators=(",", ":")) + "\n" for line in lines)
    PANELS.write_bytes(lzma.compress(text.encode("utf-8"), preset=9))
    RATINGS.write_text(in_short(lines), "utf-8")
    VERSION.write_text(version + "\n", "utf-8")


def in_short(lines: list[dict[str, Any]]) -> str:
    """Return a table of names, ratings and what holds them down."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(["panel", "status", "rating", "limited_by", "steps"])
    for line in lines:
        answer = line["answer"]
        rating = (answer["rating"] or {}).get("text", "")
        limits = " ".join(limit["component"] for limit in answer["limited_by"])
        writer.writerow([line["name"], answer["status"], rating, limits, len(answer["derivation"])])
    return stream.getvalue()
