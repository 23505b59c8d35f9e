"""The server under load: ``wrk`` asks as fast as it is answered, while the calendar changes or slow clients hold on."""

from __future__ import annotations

import shutil
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from urllib.request import urlopen

import pytest

from serving import PATIENCE, Serving, calendar_of, load, replace_file, serving, trickling

CHORES = 400
# Of load, for each test [s]: ten in all.
SECONDS = 3


@pytest.fixture
def folder(tmp_path: Path, clients: Path) -> Path:
    """Give a folder with a calendar of a year, on a machine that has wrk."""
    assert shutil.which("wrk"), f"wrk is missing, although there is software in {clients}"
    (tmp_path / "calendar.ics").write_bytes(calendar_of(CHORES, 0))
    return tmp_path


def logged(served: Serving) -> list[str]:
    """Give the status of every line of the log."""
    return [line.split()[2] for line in served.log.read_text(encoding="utf-8").splitlines()]


@pytest.mark.client
@pytest.mark.parametrize("header", ["Accept-Encoding: identity", "Accept-Encoding: gzip"])
def test_calendar_that_changes_is_served_whole_under_load(folder: Path, header: str) -> None:
    """While it is asked for without pause and replaced all the time, none fails and each answer is a whole version."""
    with serving(folder) as served, ThreadPoolExecutor(1) as pool:
        loading = pool.submit(load, served.url, SECONDS, header)
        version = 0
        while not loading.done():
            version += 1
            replace_file(folder / "calendar.ics", calendar_of(CHORES, version))
            with urlopen(served.url, timeout=PATIENCE) as response:  # noqa: S310 - it is ours
                assert response.read() == calendar_of(CHORES, version)
        measured = loading.result()
        assert measured.errors == ""
        assert version > 1
        assert measured.requests > version
        # Those that wrk had under way when its time was over are logged, too.
        assert set(logged(served)) == {"200"}
        assert len(logged(served)) >= measured.requests + version
        assert served.path.split("/")[1] not in served.log.read_text(encoding="utf-8")
        assert served.stop()[0] == 0


@pytest.mark.client
def test_unchanged_calendar_is_told_so_under_load(folder: Path) -> None:
    """Subscribers that have the calendar already are answered 304 without a fault."""
    with serving(folder) as served:
        measured = load(served.url, SECONDS, "If-None-Match: *")
        assert measured.errors == ""
        assert set(logged(served)) == {"304"}


@pytest.mark.client
def test_two_hundred_slow_clients_starve_nobody(folder: Path) -> None:
    """While 200 clients send their headers a byte a second, and all are held, no answer to others fails."""
    with serving(folder) as served, trickling(served.where, 200) as held:
        measured = load(served.url, SECONDS)
        assert (held(), measured.errors) == (200, "")
        assert measured.requests > 0
        assert set(logged(served)) == {"200"}
        assert served.stop()[0] == 0
