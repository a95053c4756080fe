"""The editions that a document asks to be rated by, where it names several."""

from collections.abc import Callable
from collections.abc import Collection
from collections.abc import Iterator
from collections.abc import Mapping
from typing import Any

from sccr.schema.problems import Fault
from sccr.schema.problems import Found

#: What gives the names of the editions that there are, asked only if a document names any; None: each name is taken.
Known = Callable[[], Collection[str]] | None


def editions_faults(own: Mapping[str, Any], known: Known) -> Iterator[Found]:
    """Yield what is wrong with the editions of a document together, as far as they could be read."""
    asked = own.get("editions") or ()
    if not asked:
        return
    if "edition" in own:
        yield Found(("editions",), Fault("contradiction", "stands beside edition; write one of the two"))
    names = known() if known is not None else None
    first: dict[str, int] = {}
    for number, name in enumerate(asked):
        if name is None:  # could not be read
            continue
        if first.setdefault(name, number) != number:
            told = f"is the edition of /editions/{first[name]} as well; keep one"
            yield Found(("editions", number), Fault("duplicate-edition", told))
        elif names is not None and name not in names:
            told = f"is not implemented; use some of: {', '.join(names)}"
            yield Found(("editions", number), Fault("unknown-edition", told, name, names))
