"""Files that are not plain YAML are faults with their line."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from steadysow.errors import Fault
from steadysow.inputs import documents
from steadysow.inputs.documents import read_document
from steadysow.inputs.values import FaultList


def only_fault(path: Path) -> Fault:
    """Read a file that must be refused, and give its one fault."""
    faults = FaultList()
    assert read_document(path, faults) is None
    (fault,) = faults
    return fault


def written(folder: Path, content: str | bytes) -> Path:
    """Write a file and give its path."""
    path = folder / "garden.yaml"
    path.write_bytes(content.encode("utf-8") if isinstance(content, str) else content)
    return path


@pytest.fixture(params=["libyaml", "pure python"])
def loader(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Read with the parser in C, then with the one in Python."""
    if request.param == "libyaml":
        c_loader = getattr(yaml, "CSafeLoader", None)
        if c_loader is None:
            pytest.skip("this YAML library was built without libyaml")
        monkeypatch.setattr(documents, "_LOADER", c_loader)
    else:
        monkeypatch.setattr(documents, "_LOADER", yaml.SafeLoader)


REFUSED = {
    "tab": ("a: 1\nb:\n\tc: 2\n", 3, "is indented with a tab"),
    "empty": ("", 1, "is empty"),
    "only a comment": ("# nothing yet\n", 1, "is empty"),
    "a list": ("- a\n- b\n", 1, "is not made of keys and values"),
    "open bracket": ("a: 1\nb: [1, 2\nc: 3\n", 3, "is not YAML"),
    "tag": ("a: 1\nb: !!python/object/apply:os.system ['true']\n", 2, "the tag"),
    "own tag": ("a: !secret x\n", 1, "the tag"),
    "two documents": ("a: 1\n---\nb: 2\n", 2, "a second document begins"),
    "list as key": ("a: 1\n? [b, c]\n: 2\n", 2, "a key must be a word"),
    "empty key": ("a: 1\n'': 2\n", 2, "a key must be a word"),
    "unknown alias": ("a: 1\nb: *nowhere\n", 2, ""),
    "alias in itself": ("a: 1\nb: &loop\n  c: *loop\n", 3, "has no complete"),
    "escape character": ('a: 1\nb: "\\e[31mred"\n', 2, "a character that cannot be shown"),
    "not utf-8": (b"a: 1\nb: caf\xe9\n", 2, "is not UTF-8 text"),
    "larger than 1 MB": ("a: 1\n" + "#" * 1_000_000, None, "is larger than 1 MB"),
}


@pytest.mark.usefixtures("loader")
@pytest.mark.parametrize(("content", "line", "wrong"), REFUSED.values(), ids=REFUSED.keys())
def test_a_file_that_is_not_plain_yaml_is_a_fault(
    tmp_path: Path, content: str | bytes, line: int | None, wrong: str
) -> None:
    """The one fault names the line and what is wrong."""
    fault = only_fault(written(tmp_path, content))
    assert fault.line == line
    assert wrong in fault.wrong


@pytest.mark.usefixtures("loader")
def test_alias_bomb_is_refused(tmp_path: Path) -> None:
    """Repeats of repeats are refused on the line on which they grow past the limit."""
    levels = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    levels += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 9)]
    fault = only_fault(written(tmp_path, "\n".join(levels)))
    # Written out, lines 1 to 4 hold 11 + 111 + 1,111 + 11,111 values; line 5 passes 20,000.
    assert fault.line == 5
    assert "once repeats (*) are written out" in fault.wrong


def test_small_repeats_are_read(tmp_path: Path) -> None:
    """A small repeat stands for the values that it repeats."""
    faults = FaultList()
    document = read_document(written(tmp_path, "a: &days [sat, wed]\nb: *days\n"), faults)
    assert document is not None
    section = document.section("a", "b")
    assert section.need("b").weekdays() == section.need("a").weekdays() == (2, 5)


@pytest.mark.usefixtures("loader")
@pytest.mark.parametrize("opening", ["[", "{a: "])
@pytest.mark.parametrize("levels", [30, 100_000])
def test_deep_nesting_is_refused(tmp_path: Path, opening: str, levels: int) -> None:
    """Nesting that would exhaust the stack is a fault."""
    fault = only_fault(written(tmp_path, "a: " + opening * levels))
    assert fault.line == 1
    assert "nest" in fault.wrong


@pytest.mark.usefixtures("loader")
def test_every_duplicate_key_is_a_fault(tmp_path: Path) -> None:
    """Each fault has the path of the key and both its lines, and reading goes on."""
    faults = FaultList()
    read_document(written(tmp_path, "a: {b: 1,\n b: 2}\nc: 1\na: 3\n"), faults)
    assert [(fault.line, fault.field, fault.wrong) for fault in faults] == [
        (2, "a.b", "appears twice, first on line 1"),
        (4, "a", "appears twice, first on line 1"),
    ]


def test_missing_file_missing_folder_and_folder_in_place_of_a_file(tmp_path: Path) -> None:
    """A missing file, a missing folder and a folder in place of the file are different faults."""
    assert only_fault(tmp_path / "garden.yaml").wrong == "there is no such file"
    assert "there is no folder" in only_fault(tmp_path / "nowhere" / "garden.yaml").wrong
    assert only_fault(tmp_path).wrong == "is a folder"


def test_unreadable_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file that the person may not read is a fault, not a system error."""

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    path = written(tmp_path, "a: 1\n")
    monkeypatch.setattr(Path, "open", refuse)
    assert only_fault(path).wrong == "cannot be read (Permission denied)"


def test_byte_order_mark_and_windows_line_ends_are_taken(tmp_path: Path) -> None:
    """A file with a byte order mark and Windows line ends is read like any other."""
    faults = FaultList()
    document = read_document(written(tmp_path, b"\xef\xbb\xbfa: 1\r\nb: x\r\n"), faults)
    assert document is not None
    assert document.section("a", "b").need("b").line == 2
