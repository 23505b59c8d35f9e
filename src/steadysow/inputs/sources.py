"""Published sources: each publication, and the figures taken from it.

Takes the YAML files of ``shared/``; gives frozen `Publication` values by key, and the keys that a source text cites.
Hides the file format.  A file is read only when its publication is asked for.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal, get_args

from steadysow.days import LATEST_YEAR
from steadysow.inputs.documents import read_document
from steadysow.inputs.values import FaultList, Section, Value

Read = Literal["seen", "seen second-hand", "computed", "memory"]

_READ: tuple[Read, ...] = get_args(Read)
_OLDEST_YEAR = 1600
_CITATION = re.compile(r"\[([a-z0-9]+(?:-[a-z0-9]+)*)\]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Publication:
    """A published source.

    Attributes
    ----------
    key
        The word that cites it, and the name of its file.
    author, title, year
        As printed; ``None`` if not visible.
    published_in
        Journal, volume, pages or publisher; ``None`` if not known.
    where
        The table, page or part with the figures.
    read
        How far the figures were checked; the weakest mark if they differ.
    note
        What to know before relying on it, or ``None``.
    table
        The figures as plain values; units are in the names of keys.
    """

    key: str
    author: str | None
    title: str | None
    published_in: str | None
    year: int | None
    where: str
    read: Read
    note: str | None
    table: Mapping[str, Any]


def shipped_sources_folder() -> Path:
    """Give the folder of published sources: in the installed package, or at the top of the repository."""
    packaged = Path(__file__).parents[1] / "shared"
    return packaged if packaged.is_dir() else Path(__file__).parents[3] / "shared"


def read_publications(faults: FaultList) -> dict[str, Publication]:
    """Read every publication of the shipped folder.

    Parameters
    ----------
    faults
        Where faults are added.

    Returns
    -------
    dict
        The publications by key, without those that have faults.
    """
    found = (_read_file(path, faults) for path in sorted(shipped_sources_folder().glob("*.yaml")))
    return {publication.key: publication for publication in found if publication is not None}


@cache
def read_publication(key: str) -> Publication:
    """Give a publication by its key, read once.

    Raises
    ------
    InputFaults
        If the shipped folder has no such file, or the file has a fault.
    """
    faults = FaultList()
    publication = _read_file(_path(key), faults)
    faults.raise_if_any()
    assert publication is not None
    return publication


def cited_keys(text: str) -> tuple[str, ...]:
    """Give the keys that a text cites in square brackets, each once, in the order of their first citation."""
    return tuple(dict.fromkeys(_CITATION.findall(text)))


def cited_publications(texts: Iterable[str]) -> tuple[Publication, ...]:
    """Give the shipped publications that texts cite, each once, in the order of their first citation.

    Brackets without the key of a shipped publication are ignored: a person's own profile may use them for other things.

    Raises
    ------
    InputFaults
        If the file of a publication has a fault.
    """
    keys = dict.fromkeys(key for text in texts for key in cited_keys(text))
    return tuple(read_publication(key) for key in keys if _path(key).is_file())


def reference_text(publication: Publication) -> str:
    """Give a publication as one sentence: author, year, title, part, and how it was read."""
    who = publication.author or "Unnamed authors"
    when = "no year" if publication.year is None else str(publication.year)
    title = f'"{publication.title}"' if publication.title else None
    named = ", ".join(part for part in (f"{who} ({when})", title, publication.published_in) if part)
    note = f"; {publication.note}" if publication.note else ""
    read = "from memory" if publication.read == "memory" else publication.read
    return f"{named}: {publication.where} ({read}{note})."


def _path(key: str) -> Path:
    return shipped_sources_folder() / f"{key}.yaml"


def _read_file(path: Path, faults: FaultList) -> Publication | None:
    faults_before = len(faults)
    document = read_document(path, faults)
    publication = None if document is None else _read_publication(document)
    return publication if len(faults) == faults_before else None


def _read_publication(document: Value) -> Publication:
    entry = document.section("key", "author", "title", "in", "year", "where", "read", "note", "table")
    key = entry.need("key")
    if key.is_sound and not key.says(document.name):
        key.fault("differs from the name of the file", f"Write {document.name}, or rename the file")
    year = entry.find("year")
    return Publication(
        key=key.text(),
        author=_text(entry, "author"),
        title=_text(entry, "title"),
        published_in=_text(entry, "in"),
        year=None if year is None else year.whole(least=_OLDEST_YEAR, most=LATEST_YEAR),
        where=entry.need("where").text(longest=2000),
        read=entry.need("read").choice(_READ),
        note=_text(entry, "note"),
        table=_read_table(entry.need("table")),
    )


def _text(entry: Section, key: str) -> str | None:
    found = entry.find(key)
    return None if found is None else found.text(longest=2000)


def _read_table(value: Value) -> Mapping[str, Any]:
    return {entry.name: entry.plain() for entry in value.entries()}
