"""Files that are replaced as a whole or not at all.

A reader sees either the old file or the new one, never a part of it, even after a power cut.
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
    """Replace a file in one step, or leave it unchanged.

    Parameters
    ----------
    file, content
        The file, and its new content.
    rights
        Its new rights, such as ``0o600``.  Without them, the file keeps the rights it has.

    Raises
    ------
    InputFaults
        If the new content cannot be written, or does not read back as written.  The old file then stays.
    """
    fresh = file.with_name(f".{file.name}.{os.getpid()}")
    with disk_errors_as_faults(file):
        try:
            fresh.unlink(missing_ok=True)
            flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
            with os.fdopen(os.open(fresh, flags, 0o666 if rights is None else rights), "wb") as stream:
                stream.write(content)
                stream.flush()
                os.fsync(stream.fileno())
            if fresh.read_bytes() != content:
                raise OSError(errno.EIO, "the new content does not read back as it was written")
            if rights is None and file.exists():
                shutil.copymode(file, fresh)
            fresh.replace(file)
        finally:
            fresh.unlink(missing_ok=True)


@contextmanager
def disk_errors_as_faults(file: Path) -> Iterator[None]:
    """Turn errors of the disk, while a file is written, into faults that name a remedy.

    Parameters
    ----------
    file
        The file that the fault names.

    Raises
    ------
    InputFaults
        In place of any `OSError`.
    """
    try:
        yield
    except OSError as error:
        is_full = error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
        for_rights = "Give yourself the right to read and write there, or name another folder"
        fault = Fault(
            file=str(file),
            line=None,
            field="",
            wrong=f"it could not be written{' and is left as it was' if file.exists() else ''}: {error.strerror}",
            write="Make room there, and run it again" if is_full else for_rights,
        )
        raise InputFaults((fault,)) from error
