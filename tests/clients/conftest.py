"""Real calendar software: where it is, and that it is missing on a newcomer's machine only."""

from __future__ import annotations

import os
from pathlib import Path

import pytest


@pytest.fixture(scope="session")
def clients() -> Path:
    """Give the folder that ``.ci/install-clients`` filled: ``bin`` with Python programs, ``node_modules``."""
    folder = os.environ.get("STEADYSOW_CLIENTS")
    if folder is None:
        assert "CI" not in os.environ, "in CI the calendar software must be installed"
        pytest.skip("needs calendar software: run `bash .ci/install-clients FOLDER`, then set STEADYSOW_CLIENTS=FOLDER")
    return Path(folder)
