"""The kinds of component, read from `kinds.csv`: a new kind is a row there, not a branch in the code."""

import csv
from dataclasses import dataclass
from functools import cache
from importlib import resources


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of component and what the one-line diagram has to know of it (the traits, columns of `kinds.csv`).

    overcurrent: always an overcurrent protective device; supplementary: a supplementary protector (UL 1077);
    controller: a motor controller, protective only where it is marked self-protected; carries_fuse: holds the
    fuse that is fed from it; switches_poles: its poles decide what is fed on; load, motor: ends a circuit;
    measuring_tap: may hang on a bus without being a load; meter, instrument_source: a meter, and what it may be
    fed from to need no rating; own_phases: makes the phases of its output; accessories: takes accessories.
    """

    name: str
    label: str
    overcurrent: bool = False
    supplementary: bool = False
    controller: bool = False
    carries_fuse: bool = False
    switches_poles: bool = False
    load: bool = False
    motor: bool = False
    measuring_tap: bool = False
    meter: bool = False
    instrument_source: bool = False
    own_phases: bool = False
    accessories: bool = False
    transformer: bool = False


@cache
def kinds() -> dict[str, Kind]:
    """Return every kind by its name."""
    text = resources.files("sccr.panel").joinpath("kinds.csv").read_text(encoding="utf-8")
    return {
        row["kind"]: Kind(row["kind"], row["label"], **dict.fromkeys(row["traits"].split(), True))
        for row in csv.DictReader(text.splitlines())
    }
