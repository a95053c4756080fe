"""A mix of requests for a while, and too many at once: as `python -m tests.trust load` tries it, but shorter."""

from pathlib import Path

from .load import USUAL
from .load import overload
from .load import soak


def test_a_mix_of_requests_goes_without_error_and_without_growth(tmp_path: Path) -> None:
    soaked = soak(f"sqlite:///{tmp_path / 'own.db'}", tmp_path / "service", USUAL)
    assert (soaked.held.losses, soaked.faults) == ([], []), soaked


def test_what_is_too_much_is_refused_and_normal_service_follows(tmp_path: Path) -> None:
    crowd = overload(f"sqlite:///{tmp_path / 'own.db'}", times=2)
    assert crowd.faults == [], crowd
