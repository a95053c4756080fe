"""Puts a bill of materials into each wheel: what the service was locked with, as CycloneDX, in `.dist-info/sboms/`."""

import re
import tempfile
from pathlib import Path
from typing import Any
from uuid import NAMESPACE_URL
from uuid import uuid5

from cyclonedx.model import HashAlgorithm
from cyclonedx.model import HashType
from cyclonedx.model.bom import Bom
from cyclonedx.model.component import Component
from cyclonedx.model.component import ComponentType
from cyclonedx.output.json import JsonV1Dot6
from hatchling.builders.hooks.plugin.interface import BuildHookInterface
from packageurl import PackageURL
from packaging.requirements import Requirement

LOCK = "locks/service.txt"
#: A requirement of the lock and the lines of its digests.
LOCKED = re.compile(
    r"^(?P<requirement>[^\s#-][^\\\n]*?)\s*\\\n(?P<digests>(?:\s+--hash=sha256:[0-9a-f]{64}.*\n)+)", re.MULTILINE
)


class BillOfMaterials(BuildHookInterface):  # type: ignore[type-arg]
    """Written anew from the lock at each build, the same for the same lock and version."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Write the bill where the builder of wheels takes it from."""
        if self.target_name != "wheel" or version != "standard":
            return
        lock = (Path(self.root) / LOCK).read_text("utf-8")
        bill = Path(tempfile.mkdtemp(prefix="bill-")) / "sccr.cdx.json"
        bill.write_text(bill_of_materials(lock, self.metadata.version), "utf-8")
        build_data["sbom_files"].append(str(bill))


def bill_of_materials(lock: str, version: str) -> str:
    """Return the bill of a lock as CycloneDX 1.6 in JSON."""
    reference = PackageURL("pypi", name="sccr", version=version)
    product = Component(
        name="sccr", version=version, type=ComponentType.APPLICATION, bom_ref=reference.to_string(), purl=reference
    )
    parts = [_part(found["requirement"], found["digests"]) for found in LOCKED.finditer(lock)]
    bill = Bom(components=parts, serial_number=uuid5(NAMESPACE_URL, f"sccr {version}\n{lock}"))
    bill.metadata.component = product
    bill.metadata.timestamp = None  # the same lock gives the same bill
    bill.register_dependency(product, parts)
    return JsonV1Dot6(bill).output_as_string(indent=2) + "\n"


def _part(requirement: str, digests: str) -> Component:
    """Return a locked package, with the digest of each file that it may be installed from."""
    read = Requirement(requirement)
    version = next(iter(read.specifier)).version
    found = re.findall(r"sha256:([0-9a-f]{64})", digests)
    reference = PackageURL("pypi", name=read.name, version=version)
    return Component(
        name=read.name,
        version=version,
        type=ComponentType.LIBRARY,
        bom_ref=reference.to_string(),
        purl=reference,
        description=str(read.marker) if read.marker else None,
        hashes=[HashType(alg=HashAlgorithm.SHA_256, content=digest) for digest in found],
    )
