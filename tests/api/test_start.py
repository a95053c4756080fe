"""What a start imports, and what it leaves for when it is first needed."""

import re
import subprocess
import sys
from pathlib import Path

import pytest
from alembic.config import Config
from alembic.script import ScriptDirectory

import api.store.migrating
from api.store.migrating import newest

from .conftest import PANELS
from .conftest import ROOT

#: Libraries that take long to import, and that no rating needs of a document that is written as usual.
HEAVY = {
    *("PIL", "alembic", "fontTools", "highspy", "numpy", "openpyxl", "pint", "ppf", "pypdfium2", "reportlab"),
    *("requests", "rich", "scipy", "segno", "yaml"),
}
_LISTED = "import sys; print(sorted({name.partition('.')[0] for name in sys.modules}))"

SERVES = """
import sys
from pathlib import Path
import api.command_line.serve
import api.server
from api.app import create_app
from api.opening import open_own_store
from api.settings import Settings
settings = Settings(data=Path(sys.argv[1]))
client = create_app(settings, open_own_store(settings)).test_client()
api.server._read_ahead()
answer = client.post("/v1/ratings", data=Path(sys.argv[2]).read_bytes(), content_type="application/json")
assert answer.status_code == 200, answer.text
"""


def imported(program: str, *arguments: str) -> set[str]:
    command = [sys.executable, "-c", f"{program}\n{_LISTED}", *arguments]
    ran = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=120, check=True)
    return set(re.findall(r"'([^']+)'", ran.stdout.splitlines()[-1]))


def test_the_service_starts_and_rates_without_what_only_some_requests_need(tmp_path: Path) -> None:
    folder, panel = str(tmp_path), str(PANELS[0])
    first, second = imported(SERVES, folder, panel), imported(SERVES, folder, panel)

    assert first & HEAVY == {"alembic"}, "the first start makes the tables"
    assert second & HEAVY == set()


@pytest.mark.parametrize("arguments", [["--help"], ["rate", "--help"], ["serve", "--help"], ["--version"]])
def test_what_only_tells_of_commands_imports_no_service(arguments: list[str]) -> None:
    program = f"from api.command_line import main\nmain({arguments!r}, standalone_mode=False)"
    heavy = HEAVY - {"rich"}  # which prints tables

    assert imported(program) & (heavy | {"flask", "gunicorn", "networkx", "prometheus_client", "sqlalchemy"}) == set()


def test_a_command_imports_no_other() -> None:
    program = "from api.command_line import main\nmain(['rate', '--help'], standalone_mode=False)\nimport sys"
    listed = "print(sorted(name for name in sys.modules if name.startswith('api.command_line.')))"
    command = [sys.executable, "-c", f"{program}\n{listed}"]
    ran = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=120, check=True)

    assert not re.findall(r"\.(orders|serve|parts|papers|verify|select)\b", ran.stdout.splitlines()[-1])


def test_the_newest_state_of_the_schema_is_told_by_the_names_of_its_steps() -> None:
    config = Config()
    config.set_main_option("script_location", str(Path(api.store.migrating.__file__).with_name("migrations")))
    config.set_main_option("path_separator", "os")
    scripts = ScriptDirectory.from_config(config)

    assert newest() == scripts.get_current_head()
    for step in scripts.walk_revisions():
        assert Path(step.path).name.startswith(f"r{step.revision}_")
