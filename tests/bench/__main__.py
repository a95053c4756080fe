"""`python -m tests.bench [what …]`: one run, medians of several rounds.

What is measured: rating, service, loading, plans, search, choices, catalogue, batch, fleet, many; without a name all of
them.
"""

import sys

from rich.console import Console

from tests.bench.batches import batch_memory
from tests.bench.catalogue import catalogue_in_and_out
from tests.bench.catalogue import catalogue_search
from tests.bench.fleet import fleet
from tests.bench.loading import loading
from tests.bench.many import many_panels
from tests.bench.one_rating import one_rating
from tests.bench.selections import selections
from tests.bench.service import service
from tests.bench.upgrade import upgrade_plans

MEASURED = {
    "rating": one_rating,
    "service": service,
    "loading": loading,
    "plans": upgrade_plans,
    "search": catalogue_search,
    "choices": selections,
    "catalogue": catalogue_in_and_out,
    "batch": batch_memory,
    "fleet": fleet,
    "many": many_panels,
}

if __name__ == "__main__":
    for what in sys.argv[1:] or MEASURED:
        MEASURED[what](Console())
