"""What we know between two runs about everything that we published, kept in ``publish-state.json``."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from steadysow.errors import Fault, InputFaults
from steadysow.files import replace_file

STATE_NAME = "publish-state.json"

# Stands among the marks of a resource that we may have deleted.
DELETED = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Published:
    """What we know about one of our resources on a server.

    Attributes
    ----------
    etag
        The server's tag of the version that we last wrote.  Empty if the server never confirmed one.
    content
        Hash of the bytes that the server last confirmed.  Empty if it never did.
    marks
        Our marks of all versions that we may have written since then, with the confirmed one first.  `DELETED` is among
        them if we may have deleted the resource.
    """

    etag: str = ""
    content: str = ""
    marks: tuple[str, ...] = ()


def read_state(file: Path) -> dict[str, dict[str, Published]]:
    """Read what was published: by address, then by UID.  A calendar that was published as one file has no UID.

    Raises
    ------
    InputFaults
        If `write_state` did not write the file.
    """
    if not file.exists():
        return {}
    try:
        places = json.loads(file.read_text(encoding="utf-8"))["places"]
        return {
            place: {name: _published_of(each) for name, each in resources.items()}
            for place, resources in places.items()
        }
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        fault = Fault(
            file=file.name,
            line=None,
            field="",
            wrong="it cannot be read, so it does not say what was published",
            write="Delete it. Events that match the plan are then recognised; --overwrite replaces the others",
        )
        raise InputFaults((fault,)) from error


def _published_of(values: Mapping[str, object]) -> Published:
    etag, content, marks = values["etag"], values["content"], values["marks"]
    if not (isinstance(etag, str) and isinstance(content, str) and isinstance(marks, list)):
        raise TypeError
    return Published(etag=etag, content=content, marks=tuple(map(str, marks)))


def write_state(file: Path, places: Mapping[str, Mapping[str, Published]]) -> None:
    """Write what was published, in one step.  Only the owner may read it, since an address can be a secret."""
    document = {
        "version": 1,
        "places": {
            place: {
                name: {"etag": each.etag, "content": each.content, "marks": list(each.marks)}
                for name, each in sorted(resources.items())
            }
            for place, resources in sorted(places.items())
        },
    }
    replace_file(file.resolve(), f"{json.dumps(document, indent=1)}\n".encode(), rights=0o600)
