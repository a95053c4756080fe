"""Panels with a nameplate, and the demo panels."""

import json
from functools import cache
from pathlib import Path
from typing import Any

import sccr
from sccr.nameplate import Nameplate
from sccr.nameplate import RecordReference
from sccr.nameplate import nameplate
from tests.drawing import breaker
from tests.drawing import contactor
from tests.drawing import motor
from tests.drawing import panel
from tests.drawing import part

FIXTURES = Path(__file__).parent.parent.parent / "fixtures"
RECORD_ID = "01JD0M8TT9CQ8Z5B2W7E4R6KNV"
#: The demo panels that are rated and cover what is available.
MARKED = (
    "all_marked",
    "current_limiting_breaker",
    "current_limiting_feeder_fuse",
    "dc_conveyor",
    "series_rating",
    "transformer_secondary",
    "two_weakest_links",
    "upstream_protection",
    "whole_line",
)

Document = dict[str, Any]


@cache
def catalogue() -> sccr.Catalogue:
    return sccr.Catalogue.from_document((FIXTURES / "catalogue/grain.json").read_bytes())


def demo(name: str) -> Document:
    document: Document = json.loads((FIXTURES / f"panels/{name}.json").read_bytes())
    return document


def demo_plate(name: str) -> Nameplate:
    """The nameplate of a demo panel, with a record."""
    document = demo(name)
    rating = sccr.rate(document, catalogue())
    return nameplate(rating, document, RecordReference(RECORD_ID, rating.document_digest), catalogue())


def silo(**identity: str) -> Document:
    """A panel that states everything: a breaker, a contactor and a motor on an ungrounded delta."""
    supply = {
        "voltage": "480 V",
        "system": "ungrounded_delta",
        "frequency": "60 Hz",
        "full_load_current": "14 A",
        "available_fault_current": "12 kA",
        "available_fault_current_date": "2026-03-20",
    }
    document = panel(
        breaker("FC1", ampere_rating="30 A"),
        contactor("QA1", "FC1", "18 kA"),
        motor("MA1", "QA1", full_load_current="14 A"),
        supply=supply,
    )
    identity = {"builder": "Oat & Rye", "drawing": "T-1", "enclosure_type": "Type 4X", **identity}
    return {**document, "panel": {"designation": "SILO-7", **identity}}


def plate_of(document: Document) -> Nameplate:
    """The nameplate of a document that needs no catalogue, with a record."""
    rating = sccr.rate(document)
    return nameplate(rating, document, RecordReference(RECORD_ID, rating.document_digest))


def assembly(**identity: str) -> Document:
    """A panel by IEC 61439-2 with a switch ahead of its device, so that its rating is a short-time one, for 1 s."""
    supply = {
        "voltage": "230/400 V",
        "system": "solidly_grounded_wye",
        "frequency": "50 Hz",
        "full_load_current": "22 A",
        "available_fault_current": "6 kA",
        "available_fault_current_date": "2026-05-01",
    }
    breaks = [{"voltage": "400 V", "current": "25 kA", "kind": "icu"}]
    behind = {"device": "circuit_breaker", "max_ampere_rating": "32 A"}
    document = panel(
        part("disconnect_switch", "QB1", short_time_ratings=[{"current": "12 kA", "duration": "1 s"}]),
        part("circuit_breaker", "FC1", "QB1", poles=3, ampere_rating="25 A", breaking_capacities=breaks),
        part(
            "contactor",
            "QA1",
            "FC1",
            conditional_ratings=[{"voltage": "400 V", "current": "10 kA", "protected_by": behind}],
        ),
        motor("MA1", "QA1", full_load_current="21 A"),
        supply=supply,
        edition="IEC 61439-2:2020",
    )
    identity = {"builder": "Oat & Rye", "drawing": "T-1", "enclosure_type": "IP54", **identity}
    return {**document, "panel": {"designation": "SILO-8", **identity}}


def protected_assembly() -> Document:
    """The same with protection stated upstream: then its rating is a conditional one."""
    upstream = {
        "device": "circuit_breaker",
        "ampere_rating": "63 A",
        "breaking_capacities": [{"voltage": "400 V", "current": "50 kA", "kind": "icu"}],
        "clearing_time": "20 ms",
    }
    document = assembly()
    (supply,) = document["supplies"]
    return {**document, "supplies": [{**supply, "upstream_protection": upstream}]}


def canadian() -> Document:
    """The silo for Canada."""
    return {**silo(), "edition": "CSA C22.2 No. 286:2017"}
