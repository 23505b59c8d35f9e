"""Files that are replaced whole or not at all.

Takes a path and its new content; a reader sees the old file or the new one, also after a power cut, and never a part.
"""

from __future__ import annotations

import errno
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from steadysow.errors import Fault, InputFaults


def replace_file(file: Path, content: bytes, *, rights: int | None = None) -> None:
    """Replace a file; its rights are kept, or given.

    Parameters
    ----------
    file, content
        The file, and what it shall hold.
    rights
        The rights it gets, such as ``0o600``; those that it has if not given.

    Raises
    ------
    InputFaults
        If the new one cannot be written as it should be; the old one is left alone.
    """
    fresh = file.with_name(f".{file.name}.{os.getpid()}")
    with told_as_fault(file):
        try:
            fresh.unlink(missing_ok=True)
            flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
            with os.fdopen(os.open(fresh, flags, 0o666 if rights is None else rights), "wb") as stream:
                stream.write(content)
                stream.flush()
                os.fsync(stream.fileno())
            if fresh.read_bytes() != content:
                raise OSError(errno.EIO, "what is read back is not what was written")
            if rights is None and file.exists():
                shutil.copymode(file, fresh)
            fresh.replace(file)
        finally:
            fresh.unlink(missing_ok=True)


@contextmanager
def told_as_fault(file: Path) -> Iterator[None]:
    """Tell an error of the disk, while a file is written, as a fault.

    Raises
    ------
    InputFaults
        In place of the error.
    """
    try:
        yield
    except OSError as error:
        is_full = error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
        right = "Give yourself the right to read and write there, or name another folder"
        fault = Fault(
            file=str(file),
            line=None,
            field="",
            wrong=f"it could not be written{' and is left as it was' if file.exists() else ''}: {error.strerror}",
            write="Make room there, and run it again" if is_full else right,
        )
        raise InputFaults((fault,)) from error
