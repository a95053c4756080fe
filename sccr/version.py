"""The version of the engine, which every rating names."""

from typing import Final

ENGINE_VERSION: Final = "0.2.0"
