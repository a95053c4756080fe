"""How much of the derivation is written changes the derivation and nothing else."""

from pathlib import Path
from typing import Any

import pytest

import sccr
from tests.drawing import breaker
from tests.drawing import contactor
from tests.drawing import fuse
from tests.drawing import motor
from tests.drawing import panel
from tests.drawing import rated
from tests.drawing import transformer
from tests.oracle.panels import random_panel

SEEDS = range(70_000, 70_120)


def without_derivation(result: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in result.items() if name not in ("derivation", "derivation_extent")}


def short_of(document: dict[str, Any]) -> list[tuple[str, str | None]]:
    return [(step.clause, step.component) for step in sccr.rate(document).steps("short")]


def test_short_is_a_part_of_the_full_derivation_in_its_order_with_its_numbers() -> None:
    shorter = 0
    for seed in SEEDS:
        rating = sccr.rate(random_panel(seed))
        short = rating.steps("short")
        numbers = [step.number for step in short]
        assert numbers == sorted(set(numbers)), seed
        assert all(rating.derivation[step.number - 1] == step for step in short), seed
        assert {step.component for step in short} >= limits_of(rating)
        assert [step for step in rating.derivation if step.component is None] == [s for s in short if not s.component]
        shorter += len(short) < len(rating.derivation)

    assert shorter > len(SEEDS) * 0.8


def limits_of(rating: sccr.Rating) -> set[str]:
    """The limits that are components; protection ahead of a supply has no step of its own."""
    return {limit.component for limit in rating.limited_by} & {component.id for component in rating.components}


def test_the_extent_changes_nothing_else_and_is_told_where_it_is_not_full() -> None:
    for seed in SEEDS:
        rating = sccr.rate(random_panel(seed))
        full, short, none = (rating.as_dict(extent) for extent in ("full", "short", "none"))
        assert without_derivation(full) == without_derivation(short) == without_derivation(none), seed
        assert full == rating.as_dict(derivation="full") == rating.as_dict()
        assert ("derivation_extent" in full, short["derivation_extent"]) == (False, "short")
        assert (none["derivation_extent"], none["derivation"]) == ("none", [])


def test_short_holds_the_limit_its_circuit_and_the_panel() -> None:
    document = panel(
        breaker("FC1", current="65 kA"),
        contactor("KM1", "FC1", "10 kA"),
        motor("MA1", "KM1"),
        breaker("FC2", current="65 kA"),
        contactor("KM2", "FC2", "22 kA"),
    )

    assert short_of(document) == [("SB4.2", "FC1"), ("SB4.2", "KM1"), ("SB4.4", "FC1"), ("SB4.4", None)]


def test_short_says_which_transformer_carries_the_marking() -> None:
    document = panel(
        fuse("FU1"),
        transformer("TA1", "FU1", kva="45 kVA", secondary="208Y/120 V"),
        breaker("FC1", "TA1", "10 kA"),
        breaker("FC9", current="65 kA"),
    )
    rating = rated(document)

    assert [limit.component for limit in rating.limited_by] == ["FC1"]
    assert ("SB4.3.1", "TA1") in short_of(document)
    assert not {"FC9", "FU1"} & {component for _, component in short_of(document)}


def test_of_a_withheld_rating_short_says_what_withholds_it() -> None:
    document = panel(contactor("KM1", "S", "65 kA"), motor("MA1", "KM1"), breaker("FC1"))

    assert sccr.rate(document).rating is None
    assert [component for _, component in short_of(document)] == ["MA1"]


@pytest.mark.parametrize("word", ["", "all", "FULL", None])
def test_an_unknown_extent_is_refused_with_those_that_there_are(word: Any) -> None:
    rating = sccr.rate(panel(breaker("FC1")))

    for refused in (rating.as_dict, rating.steps):
        with pytest.raises(ValueError, match="full, short or none"):
            refused(word)


def test_a_rating_read_from_a_file_is_shortened_as_one_just_made() -> None:
    demo = (Path(__file__).parent.parent / "fixtures/panels/current_limiting_feeder_fuse.json").read_bytes()
    rating = sccr.rate(demo)

    assert rating.as_dict("short")["derivation"] == [step.as_dict() for step in rating.steps("short")]
