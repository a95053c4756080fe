"""`python -m tests.golden`: tells which kept ratings have moved; with --write, keeps new ones, if that is explained.

`--write --draw` draws the panels anew as well, which only makes sense where panels were added.
"""

import sys

from sccr.version import ENGINE_VERSION
from tests.golden.explained import explanation
from tests.golden.kept import VERSION
from tests.golden.kept import catalogue
from tests.golden.kept import drawn
from tests.golden.kept import kept
from tests.golden.kept import rated
from tests.golden.kept import write


def main(arguments: list[str]) -> int:
    """Return 0 where nothing moved or the new ratings were written, 1 otherwise."""
    parts = catalogue()
    moved = [line["name"] for line in kept() if rated(line["name"], line["document"], parts) != line["answer"]]
    print(f"{len(moved)} kept ratings have moved" + (f": {', '.join(moved[:20])}" if moved else ""))
    if "--write" not in arguments:
        return 1 if moved else 0
    before = VERSION.read_text("utf-8").strip()
    if moved and (before == ENGINE_VERSION or explanation(ENGINE_VERSION) is None):
        print(f'raise ENGINE_VERSION from {before}, and say why under its "### Ratings" in CHANGELOG.md')
        return 1
    panels = list(drawn()) if "--draw" in arguments else [(line["name"], line["document"]) for line in kept()]
    write(panels, ENGINE_VERSION)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
