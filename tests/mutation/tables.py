"""Every cell of the rating tables changed in a copy of the tree, and the tests run on each: which do not notice?"""

import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from itertools import islice
from itertools import repeat
from pathlib import Path

from tests.mutation.cells import Mutant
from tests.mutation.cells import mutants
from tests.mutation.copied import copied

FOLDERS = ("sccr/ul508a/tables", "sccr/iec61439/tables", "sccr/csa286/tables")
#: What is run on each change, the quick first. Left out are the digest of the tables and the kept ratings, of which the
#: first notices any change at all, whether the cell matters or not.
TESTS = (
    ("tests/ul508a/test_tables.py", "tests/iec61439/test_tables.py", "tests/csa286/test_tables.py"),
    ("tests/ul508a/rules", "tests/iec61439", "tests/csa286"),
    ("tests/published", "tests/derived", "tests/test_fixtures.py", "tests/test_against_oracle.py", "tests/oracle_iec"),
)
_OPTIONS = ("-x", "-q", "-p", "no:cacheprovider", "-o", "addopts=", "--no-header", "-k", "not digest")


def survivors(folders: tuple[str, ...] = FOLDERS, processes: int = 2) -> tuple[int, list[str]]:
    """Return how many changes were made, and those that no test noticed. Each process changes a copy of its own."""
    with tempfile.TemporaryDirectory() as folder, ThreadPoolExecutor(processes) as pool:
        trees = [copied(Path(folder) / str(part)) for part in range(processes)]
        told = list(pool.map(_part, trees, range(processes), repeat(processes), repeat(folders)))
    return sum(made for made, _ in told), [each for _, left in told for each in left]


def _part(tree: Path, part: int, of: int, folders: tuple[str, ...]) -> tuple[int, list[str]]:
    command = [sys.executable, "-m", "tests.mutation.tables", str(part), str(of), *folders]
    environment = {**os.environ, "PYTHONPATH": str(tree), "PYTHONDONTWRITEBYTECODE": "1"}
    found = subprocess.run(command, cwd=tree, env=environment, stdout=subprocess.PIPE, text=True, check=True).stdout
    made, *left = found.splitlines()
    return int(made), left


def changes(folders: list[str]) -> Iterator[tuple[Path, Mutant]]:
    for folder in folders:
        for path in sorted(Path(folder).glob("*.csv")):
            for mutant in mutants(str(path), path.read_text()):
                yield path, mutant


def noticed(path: Path, mutant: Mutant) -> bool:
    """Return whether a test fails with the changed table, in a process of its own; the table is put back."""
    before = path.read_text()
    path.write_text(mutant.text)
    try:
        return any(map(_fails, TESTS))
    finally:
        path.write_text(before)


def _fails(tests: tuple[str, ...]) -> bool:
    child = os.fork()
    if child == 0:
        status = 1
        try:
            os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
            import pytest

            status = int(pytest.main([*_OPTIONS, *tests]) != 0)
        finally:
            os._exit(status)
    return os.waitpid(child, 0)[1] != 0


def main(part: int, of: int, folders: list[str]) -> None:
    """Change what is this part's of the tables of some folders; print how many changes, and those not noticed."""
    import marshmallow  # noqa: F401  # what every child needs is imported once, before any table is read
    import networkx  # noqa: F401
    import pint  # noqa: F401
    import pytest  # noqa: F401

    assert not any(map(_fails, TESTS)), "the tests fail without any change"
    made, left = 0, []
    for path, mutant in islice(changes(folders), part, None, of):
        made += 1
        if not noticed(path, mutant):
            left.append(mutant.told)
            print(mutant.told, file=sys.stderr, flush=True)
    print(made, *left, sep="\n")


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]), sys.argv[3:])
