"""The one place that turns what the system or the interpreter raises into sentences for the person at the desk."""

from __future__ import annotations

import errno
from collections.abc import Iterator
from contextlib import contextmanager
from os import PathLike, fspath

from briefgen.errors import BriefgenError, RenderError, UsageError

TOLD = (OSError, UnicodeError, RecursionError, MemoryError)
_SENTENCES = {
    errno.ENAMETOOLONG: ("the name is too long for this disk", "give it a shorter name"),
    errno.ENOSPC: ("there is no space left on the disk", "make room, then run the command again"),
    errno.EDQUOT: ("the quota of disk space is used up", "make room, then run the command again"),
    errno.EFBIG: ("the file grows larger than is allowed here", "raise the limit, or write to another disk"),
    errno.EROFS: ("this disk can only be read", "choose another folder"),
    errno.EACCES: ("permission is denied", "ask for the right to it, or choose another folder"),
    errno.EPERM: ("permission is denied", "ask for the right to it, or choose another folder"),
    errno.ELOOP: ("its links lead back to themselves", "mend the link, or choose another folder"),
    errno.ENOTDIR: ("a part of this path is a file, not a folder", "choose another folder"),
    errno.EEXIST: ("a part of this path is a file, not a folder", "choose another folder"),
    errno.EMFILE: ("too many files are open", "close other programs, then run the command again"),
}


def as_sentence(error: BaseException, where: str = "") -> BriefgenError:
    """Return an error of the system as one of ours: what is wrong, where, and what to do."""
    if isinstance(error, OSError):
        problem, hint = _SENTENCES.get(error.errno or 0, ((error.strerror or "the system refuses").lower(), ""))
        named = error.filename if isinstance(error.filename, str) else ""
        if isinstance(error, FileNotFoundError) and not (
            where or named
        ):  # the system names no path: it was asked for "here"
            return RenderError("the folder this was started in is gone", hint="change to a folder that is there")
        return RenderError(f"cannot be read or written: {problem}", where=where or named, hint=hint)
    if isinstance(error, UnicodeDecodeError):
        return RenderError("the file is not UTF-8 text", where=where, hint="save the file with the encoding UTF-8")
    if isinstance(error, UnicodeError):
        return UsageError("a name or text holds bytes that are no characters", where=where, hint="rename the file")
    if isinstance(error, RecursionError):
        return RenderError(
            "something is nested too deep to be followed", where=where, hint="nest texts and lists less deep"
        )
    return RenderError("there is not enough memory for this", where=where, hint="plan fewer missions at once")


@contextmanager
def told(where: str | PathLike[str]) -> Iterator[None]:
    """Raise what the system refuses inside as a sentence about a place."""
    try:
        yield
    except TOLD as error:
        raise as_sentence(error, fspath(where)) from error
