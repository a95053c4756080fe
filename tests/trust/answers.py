"""Wrong answers: the engine against the independent oracles, on panels drawn by number."""

from collections.abc import Callable
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from os import cpu_count

import sccr
from tests.oracle.panels import random_panel
from tests.oracle.survival import largest_survived
from tests.oracle_iec.panels import random_panel as random_iec_panel
from tests.oracle_iec.test_against_engine import disagreements
from tests.trust.row import Row

NIGHTLY, USUAL = 100_000, 2_000
#: Past the seeds of the usual tests, so that other panels are drawn.
FIRST, BLOCK = 1_000_000, 250


def differences(block: int) -> list[int]:
    """Return the seeds of a block of panels that the engine rates otherwise than the oracle."""
    return [seed for seed in _seeds(block) if _rated(seed) != largest_survived(random_panel(seed))]


def differences_by_iec(block: int) -> list[int]:
    """Return the seeds of a block of panels of which engine and oracle by IEC 61439 say anything else."""
    return [seed for seed in _seeds(block) if disagreements(random_iec_panel(seed))]


def _seeds(block: int) -> range:
    return range(FIRST + block * BLOCK, FIRST + (block + 1) * BLOCK)


def _rated(seed: int) -> int | None:
    rating = sccr.rate(random_panel(seed)).rating
    return None if rating is None else rating.current


def tried(nightly: bool) -> Iterator[Row]:
    """Yield a row for each rule set: random panels, each rated twice."""
    count = NIGHTLY if nightly else USUAL
    yield _row("engine against the independent oracle, UL 508A", count, differences)
    yield _row("engine against the independent oracle, IEC 61439", count, differences_by_iec)


def _row(what: str, count: int, compared: Callable[[int], list[int]]) -> Row:
    with ProcessPoolExecutor(cpu_count()) as pool:
        found = [seed for seeds in pool.map(compared, range(count // BLOCK)) for seed in seeds]
    return Row("answers", what, count, "panels", len(found), note=f"random_panel({found[0]})" if found else "")
