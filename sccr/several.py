"""One panel rated by several editions in one call."""

from collections.abc import Iterator
from collections.abc import Mapping
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING
from typing import Any

from sccr.editions import editions as known_editions
from sccr.engine import load_panel
from sccr.engine import rate_panel
from sccr.errors import InvalidDocument
from sccr.errors import Problem
from sccr.panel.panel import Panel
from sccr.side_by_side import EditionRatings

if TYPE_CHECKING:
    from sccr.schema.catalogue import Catalogue


def rate_editions(
    document: Mapping[str, Any] | str | bytes,
    catalogue: "Catalogue | None" = None,
    editions: Sequence[str] = (),
) -> EditionRatings:
    """Return the ratings of a panel document by each edition that it names; by its one edition where it names one.

    Parameters
    ----------
    document : mapping, or JSON text
        A panel document; `editions` in it names the editions.
    catalogue : Catalogue, optional
        Where the parts that components name are looked up.
    editions : sequence of str, optional
        In place of those of the document. Its digest stays: each rating names the edition that it was made by.

    Raises
    ------
    InvalidDocument, MalformedJson
        Where the document cannot be used, or an edition is named that is not implemented, or twice.
    """
    return rate_panel_editions(load_panel(document, catalogue), editions)


def rate_panel_editions(panel: Panel, editions: Sequence[str] = ()) -> EditionRatings:
    """Return the same of a panel already loaded. Raises InvalidDocument as `rate_editions` does for editions."""
    problems = list(_edition_problems(editions))
    if problems:
        raise InvalidDocument(problems)
    asked = tuple(editions) or panel.editions or (panel.edition,)
    return EditionRatings(tuple(rate_panel(replace(panel, edition=edition, editions=())) for edition in asked))


def _edition_problems(asked: Sequence[str]) -> Iterator[Problem]:
    known = known_editions()
    for number, edition in enumerate(asked):
        if edition not in known:
            told = f"{edition!r} is not implemented; use one of: {', '.join(known)}"
            yield Problem(f"/editions/{number}", "unknown-edition", told)
        elif edition in asked[:number]:
            yield Problem(f"/editions/{number}", "duplicate-edition", f"{edition!r} is asked for twice; keep one")
