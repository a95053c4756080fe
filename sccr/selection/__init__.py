"""Choosing the protective device of a circuit: what the circuit requires, and which parts of a catalogue suit."""

from sccr.selection.choosing import select
from sccr.selection.circuit import Circuit
from sccr.selection.device import Devices
from sccr.selection.device import devices
from sccr.selection.selection import Selection

__all__ = ["Circuit", "Devices", "Selection", "devices", "select"]
