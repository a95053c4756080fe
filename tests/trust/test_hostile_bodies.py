"""A few of the bodies and tables made to hurt that `python -m tests.trust input` sends; no clock."""

from pathlib import Path

from tests.trust.hostile import bodies
from tests.trust.hostile import tables
from tests.trust.hostile.attacked import attacked

#: To make them takes longer than to refuse them, or they are read as far as a list of parts may go.
LARGE = ("1 GB", "a size that lies", "as many rows", "a million columns", "two million", "nothing but")


def test_bodies_are_refused_and_nothing_of_them_is_kept(tmp_path: Path) -> None:
    with attacked(tmp_path) as service:
        found = list(bodies.tried(service, every=10))
    assert [(name, cost.faults) for name, cost in found if cost.faults] == []
    assert sum(cost.tried for _, cost in found) == len(bodies.BODIES)


def test_tables_are_refused_and_nothing_of_them_is_kept(tmp_path: Path) -> None:
    few = {name: made for name, made in tables.TABLES.items() if not any(word in name for word in LARGE)}
    with attacked(tmp_path) as service:
        found = list(tables.tried(service, chosen=few))
    assert [(name, cost.faults) for name, cost in found if cost.faults] == []
