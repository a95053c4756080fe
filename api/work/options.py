"""What was asked of a batch as a whole: kept with it, and handed to whoever rates its lines."""

from collections.abc import Mapping
from dataclasses import asdict
from dataclasses import dataclass
from typing import Any

from sccr.result import FULL


@dataclass(frozen=True, slots=True)
class Options:
    """The options of a batch.

    asked_by: who sent it. request_id: in which request. record: whether each rating is kept as a record.
    catalogue_version: the version by which all its lines are rated, whenever that is; None: there was no catalogue.
    derivation: how much of it the results have; a record keeps all of it.
    run: of a run over the fleet, what it is about; None: the lines are panels that were sent.
    """

    asked_by: str
    request_id: str
    record: bool
    catalogue_version: int | None
    run: Mapping[str, Any] | None = None
    derivation: str = FULL

    def as_dict(self) -> dict[str, Any]:
        """Return them as they are kept."""
        return asdict(self)

    @classmethod
    def of(cls, kept: Mapping[str, Any]) -> "Options":
        """Return them as they were kept."""
        return cls(**kept)
