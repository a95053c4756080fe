"""kill -9 at random moments under load: the machine, the server, one of its workers, or who works beside."""

import json
import os
import random
import signal
from collections.abc import Sequence
from contextlib import suppress
from functools import partial
from pathlib import Path

import requests

from tests.api.receiving import Receiver
from tests.work.serving import eventually

from .asking import Load
from .served import LOST
from .served import Served
from .served import served
from .whole import Held
from .whole import held

VICTIMS = ("all", "master", "worker", "work")
#: How a process ends that breaks: by a bad pointer in a library, or by what a library calls hopeless.
CRASHES = (signal.SIGSEGV, signal.SIGABRT, signal.SIGBUS)
#: How long callers ask in a round, at most [s]; in the middle of it something is killed.
_LONGEST = 1.2


def killed_under_load(
    database: str,
    folder: Path,
    rounds: int,
    seed: int = 1,
    *,
    victims: Sequence[str] = VICTIMS,
    signals: Sequence[signal.Signals] = (signal.SIGKILL,),
) -> Held:
    """Kill something in each round; at the end hold the store, and what the receiver of webhooks was told.

    victims: whom, in turn. signals: by what a worker, or who works beside, is ended.
    """
    receiver = Receiver()
    try:
        with served(folder, database, "--webhook-target", receiver.origin) as service:
            _register(service, receiver)
            load = Load(service, seed, may_break=True)
            chosen = random.Random(seed)
            for number in range(rounds):
                victim, by = victims[number % len(victims)], signals[number % len(signals)]
                load.run(chosen.uniform(0.2, _LONGEST), partial(_kill, service, victim, by, chosen))
                if not service.processes():
                    service.start()
                service.move_clock(LOST)  # what got no answer counts as lost, and what a dead worker held is free
            load.settle()
            found = held(load)
            untold = _untold(load, receiver)
            return found + Held(0, untold, [*load.ledger.faults, *service.failures()])
    finally:
        receiver.close()


def _register(service: Served, receiver: Receiver) -> None:
    wanted = {"url": f"{receiver.origin}/hook", "events": ["batch.ended"]}
    assert requests.post(f"{service.url}/v1/webhooks", json=wanted, timeout=60).status_code == 201


def _kill(service: Served, victim: str, by: signal.Signals, chosen: random.Random) -> None:
    if victim == "all":
        service.kill()
    elif victim == "master":
        service.kill_master()
    else:
        candidates = service.workers() if victim == "worker" else service.working()
        with suppress(ProcessLookupError):
            if candidates:  # else another has not come yet in the place of the last
                os.kill(chosen.choice(candidates), by)


def _untold(load: Load, receiver: Receiver) -> list[str]:
    """Return the batches of whose end nobody was told."""
    ended = {each.answer["id"] for each in load.ledger.of("batch")}

    def untold() -> set[str]:
        return ended - {json.loads(body)["data"]["id"] for _, body in list(receiver.received)}

    def told_after_a_while() -> bool:
        load.served.move_clock(LOST)  # a message whose sender was killed is sent again when its lease is over
        return not untold()

    eventually(told_after_a_while, 30, pause=0.5)
    return [f"nobody was told of the end of the batch {id}" for id in untold()]
