"""Changes: kept ratings given again; nightly, rules and tables changed on purpose, and what no test notices of it."""

from collections.abc import Iterator

from tests.golden.kept import catalogue
from tests.golden.kept import kept
from tests.golden.kept import rated
from tests.mutation.__main__ import found
from tests.trust.row import Row


def tried(nightly: bool) -> Iterator[Row]:
    """Yield a row for the kept ratings, and nightly one each for the rules and the tables."""
    parts, lines = catalogue(), kept()
    moved = [line["name"] for line in lines if rated(line["name"], line["document"], parts) != line["answer"]]
    yield Row("changes", "kept ratings given again", len(lines), "panels", len(moved), note=", ".join(moved[:3]))
    for what in ("rules", "tables") if nightly else ():
        made, left, open_ = found(what)
        note = f"{made - left} noticed, {left - len(open_)} explained"
        yield Row("changes", f"{what} changed on purpose", made, "changes", len(open_), note=note)
