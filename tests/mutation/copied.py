"""A copy of the tree that may be changed."""

import shutil
from pathlib import Path

ROOT = Path(__file__).parents[2]
_LEFT_OUT = (".git", ".venv", "mutants", "__pycache__", ".hypothesis", ".mypy_cache", ".ruff_cache", ".pytest_cache")


def copied(folder: Path) -> Path:
    """Return a copy of the tree in a folder."""
    tree = folder / "tree"
    shutil.copytree(ROOT, tree, ignore=shutil.ignore_patterns(*_LEFT_OUT))
    return tree
