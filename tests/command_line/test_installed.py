"""What is installed with `pip install sccr` alone, without any extra: enough to rate, and to say what is missing."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PANEL = str(ROOT / "fixtures/panels/all_marked.json")
EXTRAS = (
    *("alembic", "flask", "gunicorn", "openpyxl", "prometheus_client", "yaml", "requests", "sqlalchemy", "werkzeug"),
    *("fontTools", "jinja2", "ppf", "pypdfium2", "reportlab", "segno", "highspy", "numpy", "psycopg"),
    *("dask", "distributed"),
)
#: Runs a command as if some packages were not installed.
WITHOUT = """
import sys
for name in sys.argv[1].split(","):
    sys.modules[name] = None  # an import of it raises ModuleNotFoundError
from api.command_line import main
main(sys.argv[2:], prog_name="sccr")
"""
#: Runs a command, and prints what it has imported.
IMPORTED = """
import atexit, sys
from api.command_line import main
atexit.register(lambda: print(*sys.modules, file=sys.stderr))
main(sys.argv[1:], prog_name="sccr")
"""


def run(*arguments: object, without: tuple[str, ...] = EXTRAS) -> tuple[int, str, str]:
    command = [sys.executable, "-c", WITHOUT, ",".join(without), *map(str, arguments)]
    found = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=60, check=False)
    return found.returncode, found.stdout, found.stderr


def test_rating_imports_nothing_of_the_service() -> None:
    command = [sys.executable, "-c", IMPORTED, "rate", PANEL, "--format", "json"]
    found = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=60, check=True)

    imported = found.stderr.split()
    assert "sccr" in imported and "18 kA" in found.stdout
    assert {*imported} & {*EXTRAS} <= {"numpy"}, "pint imports numpy where there is one"


def test_what_needs_no_extra_goes_without(tmp_path: Path) -> None:
    status, out, err = run("rate", PANEL)
    assert (status, err) == (0, "")
    assert "RATED  18 kA" in out
    assert run("compare", PANEL, PANEL)[0] == 0
    many = tmp_path / "panels.ndjson"
    many.write_bytes(b"\n".join([json.dumps(json.loads(Path(PANEL).read_bytes())).encode()] * 30))
    status, out, _ = run("rate", "--many", many, "--workers", 1)
    assert status == 0 and out.count('"18 kA"') >= 30
    assert run("report", PANEL, "-o", tmp_path / "report.md")[0] == 0
    assert run("nameplate", PANEL, "-o", "-")[0] == 0
    assert run("--help")[0] == run("order", "put", "--help")[0] == 0


@pytest.mark.parametrize(
    ("arguments", "extra"),
    [
        (("serve",), "service"),
        (("work",), "service"),
        (("keys", "list"), "service"),
        (("keys", "create", "--role", "read", "--name", "ERP"), "service"),
        (("audit",), "service"),
        (("verify",), "service"),
        (("backup", "copy.db"), "service"),
        (("order", "list"), "client"),
        (("parts", "search"), "client"),
        (("report", PANEL, "-o", "report.pdf"), "reports"),
        (("report", PANEL, "-o", "report.html"), "reports"),
        (("nameplate", PANEL, "-o", "plate.png"), "reports"),
        (("rate", "--many", PANEL, "--workers", "tcp://127.0.0.1:9"), "distributed"),
        (("upgrade", PANEL, "--catalogue", str(ROOT / "fixtures/catalogue/grain.json")), "upgrade"),
    ],
    ids=lambda value: value if isinstance(value, str) else " ".join(value[:2]),
)
def test_what_is_missing_is_said(arguments: tuple[str, ...], extra: str) -> None:
    status, out, err = run(*arguments)

    assert (status, out) == (1, "")
    assert err.startswith("Error: ") and f"pip install 'sccr[{extra}]'" in err
    assert "Traceback" not in err


def test_the_driver_of_postgresql_is_named() -> None:
    status, _, err = run("keys", "list", "--database", "postgresql://nobody@127.0.0.1:1/x", without=("psycopg",))

    assert status == 1
    assert "pip install 'sccr[postgres]'" in err
