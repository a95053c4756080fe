"""`python -m tests.bench [what …]`: one run, medians of several rounds.

What is measured: rating, loading, plans, search, choices, catalogue, batch, fleet; without a name all of them.
"""

import sys

from rich.console import Console

from tests.bench.batches import batch_memory
from tests.bench.catalogue import catalogue_in_and_out
from tests.bench.catalogue import catalogue_search
from tests.bench.fleet import fleet
from tests.bench.loading import loading
from tests.bench.one_rating import one_rating
from tests.bench.selections import selections
from tests.bench.upgrade import upgrade_plans

MEASURED = {
    "rating": one_rating,
    "loading": loading,
    "plans": upgrade_plans,
    "search": catalogue_search,
    "choices": selections,
    "catalogue": catalogue_in_and_out,
    "batch": batch_memory,
    "fleet": fleet,
}

if __name__ == "__main__":
    for what in sys.argv[1:] or MEASURED:
        MEASURED[what](Console())
