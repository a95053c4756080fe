"""The rules changed by mutmut in a copy of the tree, with the tests run on each change: which does no test notice?

Which rules, and which tests, says pyproject.toml. The independent oracle is left out of them: it takes half a minute
for each change that nothing else notices, so that less is claimed than holds.
"""

import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from tests.mutation.copied import copied

#: As mutmut tells them; a change that no test can reach, or that hangs every test, counts as it tells.
_LINE = re.compile(r"^\s*(?P<name>\S+): (?P<state>[a-z ]+)$")
_KILLED = frozenset({"killed", "timeout", "caught by type check", "segfault", "suspicious"})


class Survivor(NamedTuple):
    """A change that no test noticed: the function, and its lines before and after."""

    name: str
    before: str
    after: str


def survivors(processes: int = 2) -> tuple[int, list[Survivor]]:
    """Return how many changes were made, and those that no test noticed. It takes an hour or more."""
    with tempfile.TemporaryDirectory() as folder:
        tree = copied(Path(folder))
        _mutmut(tree, "run", "--max-children", str(processes))
        states = dict(_states(_mutmut(tree, "results", "--all", "true")))
        left = [name for name, state in states.items() if state not in _KILLED]
        return len(states), [_survivor(name, _mutmut(tree, "show", name)) for name in left]


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
