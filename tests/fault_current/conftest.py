"""Markers of these tests."""

import pytest


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line("markers", "iec_60909_oracle: beside pandapower, a package that takes its time")
