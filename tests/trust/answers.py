"""Wrong answers: the engine against the independent oracle, on panels drawn by number."""

from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from os import cpu_count

import sccr
from tests.oracle.panels import random_panel
from tests.oracle.survival import largest_survived
from tests.trust.row import Row

NIGHTLY, USUAL = 100_000, 2_000
#: Past the seeds of the usual tests, so that other panels are drawn.
FIRST, BLOCK = 1_000_000, 250


def differences(block: int) -> list[int]:
    """Return the seeds of a block of panels that the engine rates otherwise than the oracle."""
    start = FIRST + block * BLOCK
    return [seed for seed in range(start, start + BLOCK) if _rated(seed) != largest_survived(random_panel(seed))]


def _rated(seed: int) -> int | None:
    rating = sccr.rate(random_panel(seed)).rating
    return None if rating is None else rating.current


def tried(nightly: bool) -> Iterator[Row]:
    """Yield one row: random panels, each rated twice."""
    count = NIGHTLY if nightly else USUAL
    with ProcessPoolExecutor(cpu_count()) as pool:
        found = [seed for seeds in pool.map(differences, range(count // BLOCK)) for seed in seeds]
    note = f"random_panel({found[0]})" if found else ""
    yield Row("answers", "engine against the independent oracle", count, "panels", len(found), note=note)
