"""What is remembered between two runs of publishing."""

from __future__ import annotations

import json

import pytest

from steadysow.errors import InputFaults
from unit.outputs.calendar_server import (
    CALENDAR,
    REPLANNED,
    THREE,
    Publisher,
    as_seen,
    counts,
)


def test_lost_state_finds_what_is_as_planned(publisher: Publisher) -> None:
    """Without the state, events that match the plan are ours again; others are left, or replaced with --overwrite."""
    publisher.publish(THREE)
    publisher.state.unlink()
    publisher.server.methods()
    assert counts(publisher.publish(REPLANNED)) == (2, 0, 0, 0, 1)
    assert publisher.server.methods().count("PUT") == 1
    assert counts(publisher.publish(REPLANNED, overwrite=True)) == (1, 0, 0, 2, 0)
    assert {uid: publisher.server.events()[uid] for uid in REPLANNED} == as_seen(REPLANNED)


def test_state_of_two_calendars_is_kept_apart(publisher: Publisher) -> None:
    """Publishing to a second address does not forget what was published at the first."""
    publisher.publish(THREE)
    publisher.publish_file(b"file")
    publisher.server.methods()
    publisher.publish(THREE)
    assert publisher.server.methods() == ["PROPFIND"]


def test_unreadable_state_is_a_fault(publisher: Publisher) -> None:
    """A damaged state is a fault with a remedy, and nothing is sent."""
    for damaged in ("{", "{}", '{"places": {"x": {"y": 3}}}', '{"places": {"x": {"y": {"etag": 1}}}}'):
        publisher.state.write_text(damaged)
        with pytest.raises(InputFaults, match=r"cannot be read, so it does not say what was published\. Delete it"):
            publisher.publish(THREE)
    assert publisher.server.asked == []


def test_the_state_is_for_its_owner_alone(publisher: Publisher) -> None:
    """Nobody else can read where the calendar was published, since an address can be a secret."""
    publisher.publish_file(b"one")
    assert publisher.state.stat().st_mode & 0o077 == 0


def test_state_is_json_that_says_its_version(publisher: Publisher) -> None:
    """The state names its version, and holds what is known about each event by its address."""
    publisher.publish(THREE)
    document = json.loads(publisher.state.read_text())
    assert document["version"] == 1
    assert sorted(document["places"][str(CALENDAR)]) == sorted(THREE)
