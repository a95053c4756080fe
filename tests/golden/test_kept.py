"""No rating moves unseen: what was kept is rated again, derivation and all."""

from typing import Any

import pytest

from sccr.editions import editions
from sccr.version import ENGINE_VERSION
from tests.golden.explained import explanation
from tests.golden.kept import DRAWN
from tests.golden.kept import DRAWN_IEC
from tests.golden.kept import EDGES
from tests.golden.kept import RATINGS
from tests.golden.kept import ROOT
from tests.golden.kept import VERSION
from tests.golden.kept import catalogue
from tests.golden.kept import in_short
from tests.golden.kept import kept
from tests.golden.kept import rated
from tests.golden.kept import several_worlds

BLOCKS = 8


@pytest.fixture(scope="module")
def lines() -> list[dict[str, Any]]:
    return kept()


@pytest.mark.parametrize("block", range(BLOCKS))
def test_every_kept_rating_is_what_it_was(lines: list[dict[str, Any]], block: int) -> None:
    parts = catalogue()
    for line in lines[block::BLOCKS]:
        now = rated(line["name"], line["document"], parts)
        moved = sorted(key for key in now.keys() | line["answer"].keys() if now.get(key) != line["answer"].get(key))
        assert not moved, (
            f"{line['name']}: {', '.join(moved)} moved. If that is meant, raise ENGINE_VERSION, say why under "
            '"### Ratings" of CHANGELOG.md, and run python -m tests.golden --write'
        )


def test_what_is_kept_is_enough(lines: list[dict[str, Any]]) -> None:
    fixtures = {path.stem for path in (ROOT / "fixtures" / "panels").glob("*.json")}
    fixtures |= {name for name, _ in several_worlds()}
    names = [line["name"] for line in lines]
    assert fixtures <= set(names), "python -m tests.golden --write --draw keeps a new fixture"
    assert len(set(names)) == len(names) == len(fixtures) + DRAWN + EDGES + DRAWN_IEC
    statuses = [line["answer"]["status"] for line in lines]
    assert statuses.count("withheld") > 10
    assert statuses.count("rated") > 400
    assert {line["answer"]["method"]["edition"] for line in lines} == set(editions()) - {"UL 508A:2013"}
    assert all(line["answer"]["derivation"] for line in lines if line["answer"]["status"] == "rated")


def test_the_short_table_says_the_same(lines: list[dict[str, Any]]) -> None:
    assert RATINGS.read_text("utf-8") == in_short(lines)


def test_the_version_that_they_were_kept_with_is_explained() -> None:
    before = VERSION.read_text("utf-8").strip()
    assert explanation(ENGINE_VERSION), f'say under "## {ENGINE_VERSION}", "### Ratings" in CHANGELOG.md what moved'
    assert before == ENGINE_VERSION, "the version moved: python -m tests.golden --write"
