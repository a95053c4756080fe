"""Panels of any size for the benchmarks: a current-limiting feeder and identical motor branches (invented data)."""

from typing import Any


def line_of(count: int) -> dict[str, Any]:
    """A panel document of `count` components."""
    components: list[dict[str, Any]] = [
        {"id": "FU0", "kind": "fuse", "fed_from": "S", "fuse_class": "J", "ampere_rating": "100 A"},
        {
            "id": "XD0",
            "kind": "power_distribution_block",
            "fed_from": "FU0",
            "short_circuit_ratings": [{"current": "100 kA", "voltage": "600 V"}],
        },
    ]
    branch = 0
    while len(components) < count:
        branch += 1
        components += _branch(branch)
    return {
        "format": "panel/1",
        "panel": {"designation": f"LINE-{count}"},
        "supplies": [
            {
                "id": "S",
                "voltage": "480Y/277 V",
                "system": "solidly_grounded_wye",
                "available_fault_current": "20 kA",
            }
        ],
        "components": components[:count],
    }


def _branch(n: int) -> list[dict[str, Any]]:
    tested = {"device": "fuse", "fuse_classes": ["J"], "max_ampere_rating": "30 A"}
    return [
        {
            "id": f"FC{n}",
            "kind": "circuit_breaker",
            "fed_from": "XD0",
            "poles": 3,
            "ampere_rating": "30 A",
            "interrupting_ratings": [{"current": f"{14 + n % 7} kA", "voltage": "480 V"}],
        },
        {
            "id": f"KM{n}",
            "kind": "contactor",
            "fed_from": f"FC{n}",
            "horsepower": "10 hp",
            "short_circuit_ratings": [
                {"current": "18 kA", "voltage": "480 V"},
                {"current": "100 kA", "voltage": "480 V", "protected_by": tested},
            ],
        },
        {
            "id": f"FR{n}",
            "kind": "overload_relay",
            "fed_from": f"KM{n}",
            "short_circuit_ratings": [{"current": f"{13 + n % 5} kA", "voltage": "480 V"}],
        },
        {
            "id": f"MA{n}",
            "kind": "motor",
            "fed_from": f"FR{n}",
            "full_load_current": "14 A",
            "location": "field",
        },
    ]
