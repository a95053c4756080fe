"""The demo panels and the catalogue of invented parts that they are built of, as the page shows them."""

import json
from functools import cache
from pathlib import Path
from typing import Any
from typing import Final

_HERE: Final = Path(__file__).parent
#: Inside the package where it is installed; beside it in a checkout.
_PLACES: Final = (_HERE.parent / "fixtures", _HERE.parent.parent / "fixtures")
#: Panels by one edition each; and one by several, with the same panel for each of its markets.
_FOLDERS: Final = ("panels", "worlds")


@cache
def panels() -> list[dict[str, Any]]:
    """Return the demo panels, the largest first: name, title, what it teaches, and the document."""
    found = [_demo(path) for folder in _FOLDERS for path in sorted((_folder() / folder).glob("*.json"))]
    return sorted(found, key=lambda demo: -len(demo["document"]["components"]))


@cache
def catalogue() -> Any:
    """Return the catalogue of the demo panels."""
    return json.loads((_folder() / "catalogue" / "grain.json").read_bytes())


def _folder() -> Path:
    return next(place for place in _PLACES if place.is_dir())


def _demo(path: Path) -> dict[str, Any]:
    """Return a demo panel with what its note says of it: the title, and the paragraph that begins with `Teaches:`."""
    title, teaches = path.stem, ""
    for block in path.with_suffix(".md").read_text("utf-8").split("\n\n"):
        if block.startswith("# "):
            title = block[2:].replace("`", "").strip()
        if block.startswith("Teaches: "):
            told = " ".join(block.removeprefix("Teaches: ").replace("`", "").split())
            teaches = told[:1].upper() + told[1:]
    return {"name": path.stem, "title": title, "teaches": teaches, "document": json.loads(path.read_bytes())}
