"""The rules changed by mutmut in a copy of the tree, with the tests run on each change: which does no test notice?

Which rules, and which tests, says pyproject.toml. The independent oracle takes half a minute for each change, and so is
asked only about those that nothing else notices and nobody has explained.
"""

import os
import re
import subprocess
import sys
import tempfile
from collections.abc import Container
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path
from typing import Final
from typing import NamedTuple

from tests.mutation.copied import copied

#: As mutmut tells them; a change that no test can reach, or that hangs every test, counts as it tells.
_LINE = re.compile(r"^\s*(?P<name>\S+): (?P<state>[a-z ]+)$")
_KILLED = frozenset({"killed", "timeout", "caught by type check", "segfault", "suspicious"})
_ORACLE: Final = ("-x", "-q", "-p", "no:cacheprovider", "-o", "addopts=", "tests/test_against_oracle.py")
#: How long the oracle is waited for [s]: a change after which it does not end is noticed.
_LONGEST: Final = 300


class Survivor(NamedTuple):
    """A change that no test noticed: the function, and its lines before and after."""

    name: str
    before: str
    after: str


def survivors(explained: Container[tuple[str, str]] = (), processes: int = 2) -> tuple[int, list[Survivor]]:
    """Return how many changes were made, and those that no test noticed. It takes half an hour or more.

    The independent oracle is asked about those that have no explanation.
    """
    with tempfile.TemporaryDirectory() as folder:
        tree = copied(Path(folder))
        _mutmut(tree, "run", "--max-children", str(processes))
        states = dict(_states(_mutmut(tree, "results", "--all", "true")))
        left = {name: _survivor(name, _mutmut(tree, "show", name)) for name, to in states.items() if to not in _KILLED}
        open_ = [name for name, each in left.items() if (each.name, each.after) not in explained]
        with ThreadPoolExecutor(processes) as pool:
            for name, noticed in zip(open_, pool.map(partial(_noticed_by_oracle, tree), open_), strict=True):
                if noticed:
                    del left[name]
        return len(states), list(left.values())


def _noticed_by_oracle(tree: Path, name: str) -> bool:
    """Return whether the oracle differs from the rules with one change, which mutmut's copy of them makes when told."""
    command = [sys.executable, "-m", "pytest", *_ORACLE]
    environment = {**os.environ, "MUTANT_UNDER_TEST": name}
    where = tree / "mutants"
    try:
        done = subprocess.run(command, cwd=where, env=environment, stdout=subprocess.DEVNULL, timeout=_LONGEST)
    except subprocess.TimeoutExpired:
        return True
    return done.returncode == 1


def _mutmut(tree: Path, *arguments: str) -> str:
    command = [sys.executable, "-m", "mutmut", *arguments]
    done = subprocess.run(command, cwd=tree, stdout=subprocess.PIPE, text=True, check=arguments[0] != "run")
    return done.stdout


def _states(told: str) -> Iterator[tuple[str, str]]:
    for line in told.splitlines():
        found = _LINE.match(line)
        if found is not None:
            yield found["name"], found["state"]


def _survivor(name: str, shown: str) -> Survivor:
    lines = shown.splitlines()
    before = [line[1:].strip() for line in lines if line.startswith("-") and not line.startswith("---")]
    after = [line[1:].strip() for line in lines if line.startswith("+") and not line.startswith("+++")]
    return Survivor(name.rpartition("__mutmut_")[0], " / ".join(before), " / ".join(after))
