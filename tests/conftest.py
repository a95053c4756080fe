"""What all tests share: none of them touches the data of whoever runs them."""

import os
from collections.abc import Iterator

import pytest
from hypothesis import settings

# A busy machine is no fault of the code: what takes time is measured in tests/bench.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")


@pytest.fixture(scope="session", autouse=True)
def _own_data_home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    before = os.environ.get("XDG_DATA_HOME")
    os.environ["XDG_DATA_HOME"] = str(tmp_path_factory.mktemp("data"))
    yield
    if before is None:
        del os.environ["XDG_DATA_HOME"]
    else:
        os.environ["XDG_DATA_HOME"] = before
