"""YAML files as values that know their line.

Takes a path; gives the file as one `Value`, or adds the fault that ends its reading.  Hides the YAML library, and
refuses what a plain data file does not need: tags, repeats that grow without end, deep nesting, large files.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import yaml

from steadysow.errors import Fault, InputFaults
from steadysow.inputs.values import FaultList, Mapping, Node, Scalar, Sequence, Value

LARGEST_FILE_BYTES = 1_000_000
MOST_NODES = 20_000
DEEPEST = 20

_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_CORE_TAGS = {
    f"tag:yaml.org,2002:{name}" for name in ("str", "int", "float", "bool", "null", "map", "seq", "timestamp")
}
_NULLS = ("", "~", "null", "Null", "NULL")
_TAB_INDENT = re.compile(r" *\t")


def read_document(path: Path, faults: FaultList) -> Value | None:
    """Read a YAML file of keys and values.

    Parameters
    ----------
    path
        The file.
    faults
        Where faults are added.

    Returns
    -------
    Value or None
        The whole file as one value; ``None`` if it cannot be read, which adds a fault.
    """
    try:
        text = _read_text(path)
        root = _Composer(str(path), text, faults).compose_document()
    except InputFaults as unreadable:
        for fault in unreadable.faults:
            faults.add(fault)
        return None
    return Value(file=str(path), line=1, field="", name=path.stem, node=root, faults=faults)


def _refusal(file: str, line: int | None, wrong: str, write: str) -> InputFaults:
    """Give the exception that ends the reading of one file."""
    return InputFaults((Fault(file=file, line=line, field="", wrong=wrong, write=write),))


def _line(event: yaml.Event) -> int:
    """Give the line number of an event of the parser."""
    assert event.start_mark is not None
    return event.start_mark.line + 1


def _read_text(path: Path) -> str:
    """Give the text of a file.

    Raises
    ------
    InputFaults
        If the file does not exist, cannot be read, is too large, or is not UTF-8 text.
    """
    file = str(path)
    if not path.parent.is_dir():
        raise _refusal(file, None, f'there is no folder "{path.parent}"', "Name a folder that exists")
    if path.is_dir():
        raise _refusal(file, None, "is a folder", "Put a file there")
    if not path.exists():
        raise _refusal(file, None, "there is no such file", "Write one, or name the folder that has it")
    if not path.is_file():
        raise _refusal(file, None, "is not an ordinary file", "Put a text file there")
    try:
        with path.open("rb") as stream:
            content = stream.read(LARGEST_FILE_BYTES + 1)
    except OSError as error:
        raise _refusal(
            file, None, f"cannot be read ({error.strerror})", "Give yourself the right to read it"
        ) from error
    if len(content) > LARGEST_FILE_BYTES:
        raise _refusal(file, None, "is larger than 1 MB", "Keep only what belongs to this file")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise _refusal(file, line, "is not UTF-8 text", "Save the file as UTF-8") from error


class _Composer:
    """Builds nodes from the events of the YAML parser, and refuses what a plain data file does not need."""

    def __init__(self, file: str, text: str, faults: FaultList) -> None:
        self._file = file
        self._text = text
        self._faults = faults
        self._anchors: dict[str, tuple[Node, int]] = {}
        self._count = 0

    def compose_document(self) -> Node:
        """Give the document of the file, which must be one mapping."""
        try:
            root = self._compose_documents()
        except yaml.YAMLError as error:
            raise self._syntax_refusal(error) from error
        if root is None or root == Scalar(text=None, quoted=False):
            raise _refusal(self._file, 1, "is empty", "Write keys and values, one a line")
        if not isinstance(root, Mapping):
            raise _refusal(self._file, 1, "is not made of keys and values", "Write keys and values, one a line")
        return root

    def _compose_documents(self) -> Node | None:
        self._events: Iterator[yaml.Event] = yaml.parse(self._text, Loader=_LOADER)
        root: Node | None = None
        for event in self._events:
            if isinstance(event, yaml.DocumentStartEvent):
                if root is not None:
                    raise _refusal(self._file, _line(event), "a second document begins", 'Delete the line "---"')
                root = self._compose(next(self._events), path=())
        return root

    def _compose(self, event: yaml.Event, *, path: tuple[str, ...]) -> Node:
        self._refuse_excess(_line(event), depth=len(path))
        if isinstance(event, yaml.AliasEvent):
            return self._alias(event)
        assert isinstance(event, yaml.ScalarEvent | yaml.CollectionStartEvent)
        self._refuse_tag(event)
        before = self._count
        self._count += 1
        node: Node
        if isinstance(event, yaml.ScalarEvent):
            node = self._scalar(event)
        elif isinstance(event, yaml.SequenceStartEvent):
            node = self._sequence(path)
        else:
            node = self._mapping(path)
        if event.anchor is not None:
            self._anchors[event.anchor] = (node, self._count - before)
        return node

    def _refuse_excess(self, line: int, *, depth: int) -> None:
        if self._count > MOST_NODES:
            wrong = f"holds more than {MOST_NODES:,} values once repeats (*) are written out"
            raise _refusal(self._file, line, wrong, "Write fewer values, or no repeats")
        if depth > DEEPEST:
            raise _refusal(self._file, line, f"is nested more than {DEEPEST} levels deep", "Use fewer levels")

    def _refuse_tag(self, event: yaml.ScalarEvent | yaml.CollectionStartEvent) -> None:
        if event.tag not in (None, "!") and event.tag not in _CORE_TAGS:
            wrong = f'has the tag "{event.tag}"'
            raise _refusal(self._file, _line(event), wrong, "Write plain values, without a tag (!)")

    def _alias(self, event: yaml.AliasEvent) -> Node:
        if event.anchor not in self._anchors:
            wrong = f'the repeat "*{event.anchor}" has no complete "&{event.anchor}" before it'
            raise _refusal(self._file, _line(event), wrong, "Write the values out in full")
        node, size = self._anchors[event.anchor]
        self._count += size
        self._refuse_excess(_line(event), depth=0)
        return node

    def _scalar(self, event: yaml.ScalarEvent) -> Scalar:
        text: str = event.value
        if not all(sign.isprintable() or sign in "\n\t\xa0" for sign in text):
            raise _refusal(self._file, _line(event), "has a character that cannot be shown", "Delete it")
        quoted = bool(event.style) or event.tag in ("!", "tag:yaml.org,2002:str")
        return Scalar(text=None if not quoted and text in _NULLS else text, quoted=quoted)

    def _sequence(self, path: tuple[str, ...]) -> Sequence:
        items: list[tuple[int, Node]] = []
        while not isinstance(event := next(self._events), yaml.SequenceEndEvent):
            items.append((_line(event), self._compose(event, path=(*path, str(len(items) + 1)))))
        return Sequence(items=tuple(items))

    def _mapping(self, path: tuple[str, ...]) -> Mapping:
        entries: dict[str, tuple[int, Node]] = {}
        while not isinstance(event := next(self._events), yaml.MappingEndEvent):
            line, key = _line(event), self._key(event)
            node = self._compose(next(self._events), path=(*path, key))
            if key in entries:
                self._add_duplicate(".".join((*path, key)), line, first_line=entries[key][0])
            else:
                entries[key] = (line, node)
        return Mapping(entries=tuple((key, line, node) for key, (line, node) in entries.items()))

    def _key(self, event: yaml.Event) -> str:
        if not isinstance(event, yaml.ScalarEvent) or not event.value.strip():
            raise _refusal(self._file, _line(event), "a key must be a word", "Write key: value")
        self._scalar(event)
        return " ".join(event.value.split())

    def _add_duplicate(self, field: str, line: int, *, first_line: int) -> None:
        wrong, write = f"appears twice, first on line {first_line}", "Keep one, or give each its own name"
        self._faults.add(Fault(file=self._file, line=line, field=field, wrong=wrong, write=write))

    def _syntax_refusal(self, error: yaml.YAMLError) -> InputFaults:
        mark = getattr(error, "problem_mark", None)
        line = mark.line + 1 if mark else 1
        for number, written in enumerate(self._text.splitlines()[:line], start=1):
            if _TAB_INDENT.match(written):
                return _refusal(self._file, number, "is indented with a tab", "Indent with spaces")
        problem = getattr(error, "problem", None) or getattr(error, "reason", None) or "it cannot be read"
        write = "Check indentation, brackets and colons, and put text with a colon in quotes"
        return _refusal(self._file, line, f"is not YAML: {problem}", write)
