"""Choosing from 50,000 breakers, as a caller of the service waits for it."""

import resource
import tempfile
from contextlib import closing
from pathlib import Path
from statistics import median
from time import perf_counter

from flask.testing import FlaskClient
from rich.console import Console

from api import create_app
from api.settings import Settings
from api.store import Put
from api.store import open_store
from tests.api.test_selections import ADDRESS
from tests.api.test_selections import LEG
from tests.api.test_selections import breakers

PARTS = 50_000
ROUNDS = 5


def seconds(client: FlaskClient, number: int) -> float:
    """How long a choice takes [s]."""
    start = perf_counter()
    answer = client.post(ADDRESS, json={**LEG, "designation": f"-FC{number}"})
    assert answer.status_code == 200, answer.text
    return perf_counter() - start


def selections(console: Console) -> None:
    """Print how long the first choice from a version of the catalogue takes, and those after it."""
    with tempfile.TemporaryDirectory() as folder:
        store = open_store(f"sqlite:///{Path(folder) / 'large.db'}")
        with closing(store):
            store.migrate()
            store.apply_changes([Put(part) for part in breakers(PARTS)], "a bench")
            client = create_app(Settings(), store).test_client()
            first = seconds(client, 0)
            later = median(seconds(client, number) for number in range(1, ROUNDS + 1))
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    console.print(f"{PARTS:,} breakers: the first choice {first:.1f} s, later ones {later:.1f} s; at most {memory} MB")
