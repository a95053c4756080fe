"""The locks against pyproject.toml, and the bill of materials against the schema of CycloneDX 1.6."""

import importlib.util
import json
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest
from cyclonedx.schema import SchemaVersion
from cyclonedx.validation.json import JsonStrictValidator
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[2]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
SERVICE = (ROOT / "locks" / "service.txt").read_text("utf-8")
CLUSTER = (ROOT / "locks" / "cluster.txt").read_text("utf-8")
TEST = (ROOT / "locks" / "test.txt").read_text("utf-8")


@pytest.fixture(scope="module")
def hook() -> ModuleType:
    spec = importlib.util.spec_from_file_location("bill_of_materials", ROOT / "release" / "bill_of_materials.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def wanted(*extras: str) -> Iterator[Requirement]:
    """What the project asks for, and what its extras that name extras ask for."""
    for text in [
        *PROJECT["dependencies"],
        *(each for extra in extras for each in PROJECT["optional-dependencies"][extra]),
    ]:
        requirement = Requirement(text)
        if requirement.name == "sccr":
            yield from wanted(*requirement.extras)
        else:
            yield requirement


def locked(lock: str) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for name, version in re.findall(r"^([A-Za-z0-9._-]+)(?:\[[^]]*\])?==([^\s;]+)", lock, re.M):
        found.setdefault(canonicalize_name(name), []).append(version)
    return found


@pytest.mark.parametrize(
    ("lock", "extras"),
    [(SERVICE, ("service", "postgres")), (CLUSTER, ("distributed",)), (TEST, ("test",))],
    ids=["service", "cluster", "test"],
)
def test_what_the_project_asks_for_is_locked_within_its_ranges(lock: str, extras: tuple[str, ...]) -> None:
    versions = locked(lock)
    for requirement in wanted(*extras):
        found = versions.get(canonicalize_name(requirement.name), [])
        assert found, f"{requirement.name} is not locked: run release/lock"
        assert all(requirement.specifier.contains(version) for version in found), f"{requirement}: {found}"


@pytest.mark.parametrize("lock", [SERVICE, CLUSTER, TEST], ids=["service", "cluster", "test"])
def test_each_locked_package_has_its_digests_and_names_no_host(lock: str) -> None:
    blocks = re.split(r"^(?=[A-Za-z0-9])", lock, flags=re.M)[1:]
    assert len(blocks) > 20
    assert all("--hash=sha256:" in block for block in blocks)
    assert "://" not in lock


def test_the_bill_of_materials_is_valid_and_holds_what_is_locked(hook: ModuleType) -> None:
    text = hook.bill_of_materials(SERVICE, "1.2.3")

    assert JsonStrictValidator(SchemaVersion.V1_6).validate_str(text) is None
    bill = json.loads(text)
    assert bill["metadata"]["component"]["version"] == "1.2.3"
    listed = {(part["name"], part["version"]) for part in bill["components"]}
    assert listed == {(name, version) for name, versions in locked(SERVICE).items() for version in versions}
    assert all(part["hashes"] for part in bill["components"])
    assert hook.bill_of_materials(SERVICE, "1.2.3") == text


def test_the_wheel_is_built_with_the_hook() -> None:
    build = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"]["hatch"]["build"]
    path = build["targets"]["wheel"]["hooks"]["custom"]["path"]
    assert (ROOT / path).is_file()
