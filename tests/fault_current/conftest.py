"""The comparison with pandapower needs that package, which is heavy: it stands in the extra `oracle`."""

from importlib.util import find_spec

import pytest

collect_ignore = [] if find_spec("pandapower") else ["test_against_pandapower.py"]


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line("markers", "iec_60909_oracle: needs pandapower, a heavy package (the extra `oracle`)")
