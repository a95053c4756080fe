"""schemathesis, with all of its checks, finds nothing on the running service, whatever keeps its data.

Every case that it derives from the schema of a panel document or a part takes minutes: SCCR_THOROUGH=1 runs them too.
"""

import os
import subprocess
import sys
from contextlib import closing
from pathlib import Path

from api.access import Role
from api.access import new_key
from api.store import open_store

from .conftest import ROOT
from .prepared import fill
from .running import running

THOROUGH = bool(os.environ.get("SCCR_THOROUGH"))
#: Those that take a document of a panel, part, catalogue, site or circuit: schemas of thousands of borderline cases.
OF_LARGE_SCHEMAS = (
    *("createRating", "drawDiagram", "putPanel", "putPart", "importParts", "createImpact"),
    *("calculateFaultCurrent", "createSelection", "createUpgradePlans"),
)
PHASES = {"sqlite": "examples,coverage", "postgresql": "examples,fuzzing,stateful"}
HOOKS = {"SCHEMATHESIS_HOOKS": "tests.api.schemathesis_hooks", "PYTHONPATH": str(ROOT)}


def test_it_finds_nothing(database: str, tmp_path: Path) -> None:
    kind = database.partition(":")[0].partition("+")[0]
    with closing(open_store(database)) as store:
        fill(store)
        key = new_key(Role.ADMIN)
        if kind == "postgresql":  # once with keys, once open
            store.add_key(key.prefix, key.hash, key.role.label, "schemathesis")
    with running(database) as url:
        told = {"cwd": tmp_path, "env": {**os.environ, **HOOKS}, "timeout": 1800}
        found = subprocess.run(command(url, kind, key.text), capture_output=True, text=True, check=False, **told)
    assert found.returncode == 0, found.stdout + found.stderr
    assert "No issues found" in found.stdout or "passed" in found.stdout


def command(url: str, kind: str, key: str) -> list[str]:
    program = [str(Path(sys.executable).parent / "schemathesis")]
    program += ["--config-file", str(ROOT / "tests" / "api" / "schemathesis.toml")]
    program += ["run", f"{url}/openapi.yaml", "--checks", "all", "--seed", "508", "--no-color", "--warnings", "off"]
    if THOROUGH:
        program += ["--max-examples", "50"]
    else:
        program += ["--max-examples", "3", "--phases", PHASES[kind]]
    if kind == "postgresql":
        program += ["--header", f"Authorization: Bearer {key}"]
    elif not THOROUGH:
        program += [word for name in OF_LARGE_SCHEMAS for word in ("--exclude-operation-id", name)]
    return program
