"""What a process has to wait for before its first rating: heavy libraries come when they are needed, or not at all."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
HEAVY = {"marshmallow", "msgspec", "networkx", "numpy", "pint", "rfc8785"}


def loaded_after(program: str) -> set[str]:
    """Which heavy libraries a new process has imported when it has run a program."""
    tell = f"import sys; print(*({HEAVY!r} & set(sys.modules)))"
    found = subprocess.run(
        [sys.executable, "-c", f"{program}\n{tell}"], capture_output=True, text=True, check=True, cwd=ROOT
    )
    return set(found.stdout.split())


def test_the_package_alone_brings_no_heavy_library() -> None:
    assert loaded_after("import sccr; sccr.rate; sccr.InvalidDocument; sccr.Rating") == set()


def test_the_catalogue_comes_when_it_is_asked_for() -> None:
    assert loaded_after("from sccr import *; assert Catalogue.__name__ == 'Catalogue'") >= {"marshmallow"}
    assert loaded_after("import sccr; assert not hasattr(sccr, 'Catalog'); assert 'Catalogue' in sccr.__all__") == set()


def test_what_is_right_needs_no_pint() -> None:
    program = """
import sccr
from pathlib import Path
catalogue = sccr.Catalogue.from_document(Path("fixtures/catalogue/grain.json").read_text("utf-8"))
for path in Path("fixtures/panels").glob("*.json"):
    sccr.load_panel(path.read_text("utf-8"), catalogue)
"""
    assert not loaded_after(program) & {"pint", "numpy", "networkx"}


def test_pint_comes_with_the_first_string_that_is_not_known() -> None:
    program = """
from sccr.schema import quantity
from sccr.schema.misread import QuantityError
try:
    quantity.current("65.000 A")
except QuantityError as error:
    assert error.code == "ambiguous-number"
"""
    assert "pint" in loaded_after(program)
