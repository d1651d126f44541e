"""What of a folder may be replaced by a site: only what an earlier build of ours put there, as its marker lists it."""

from __future__ import annotations

import errno
import hashlib
import os
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path, PurePosixPath

from briefgen import disk
from briefgen.errors import RenderError
from briefgen.system_errors import told

MARKER = ".briefgen-site"
MARKER_HEAD = (
    "Made by briefgen. The next build replaces the files named here; it leaves a folder alone that holds others."
)
MADE_OF = "= "  # begins the line of the marker that tells what the site was made of (`unchanged`)
SHOWN_STRANGERS = 3


def ready(out: Path, inputs: Iterable[Path] = ()) -> None:
    """Make sure that a site can be put into a folder, before any work is done for it.

    What a killed build left is put right first: its old site is restored, its hidden folders are removed.

    Raises:
        RenderError: The folder holds an input or a file that no build of ours made, or cannot be reached.
    """
    place = disk.real_place(out)
    with told(out):
        if not place.parent.is_dir():
            _require_folder_above(place)
            return
        with disk.locked(place):
            for left in disk.recover(place):
                disk.remove(left, [*_listed(left), MARKER])
            _may_replace(place, out, inputs)


def _require_folder_above(place: Path) -> None:
    """Raise OSError unless the nearest thing above a place that is there is a folder that may be written."""
    above = next(path for path in place.parents if path.exists())
    number = errno.ENOTDIR if not above.is_dir() else 0 if os.access(above, os.W_OK) else errno.EACCES
    if number:
        raise OSError(number, os.strerror(number), str(above))


def write_site(
    files: Mapping[str, bytes], out: Path, inputs: Iterable[Path] = (), made_of: str | None = None
) -> list[Path]:
    """Write the files to a new folder beside ``out`` and put it in the place of ``out``; return their paths in order.

    What it was made of, one line of text, is kept in the marker.

    Raises:
        RenderError: The folder is not ours to replace, or the system does not let it be written; it is then unchanged.
    """
    place = disk.real_place(out)
    ready(out, inputs)
    kept = [] if made_of is None else [f"{MADE_OF}{made_of}"]
    marker = "\n".join([MARKER_HEAD, *sorted(files), *kept]) + "\n"
    with told(out), disk.locked(place):
        earlier = [*_listed(place), MARKER]
        fresh = disk.staged(
            place, {MARKER: marker.encode(), **files}
        )  # the marker first: it tells a sweep what is ours
        try:
            _may_replace(place, out, inputs)
            old = disk.put_in_place(fresh, place)
        except BaseException:
            disk.remove(fresh, [*files, MARKER])
            raise
        if old is not None:
            disk.remove(old, earlier)
    return [out / name for name in sorted(files)]


class GrowingSite:
    """A site that is written mission by mission beside its place, and put there as a whole when it is done."""

    def __init__(self, out: Path, inputs: Iterable[Path] = ()) -> None:
        self.out, self.place, self._inputs = out, disk.real_place(out), tuple(inputs)
        ready(out, self._inputs)
        self._names: set[str] = set()
        with told(out):
            self.place.parent.mkdir(parents=True, exist_ok=True)
            self._fresh = disk.staged(self.place, {MARKER: f"{MARKER_HEAD}\n".encode()})

    def add(self, files: Mapping[str, bytes]) -> str:
        """Write some files and return one SHA-256 over them; the marker names them first, so that a sweep knows them for ours."""
        whole = hashlib.sha256()
        self._mark([*files])
        with told(self.out):
            for name in sorted(files):
                target = self._fresh / name
                target.parent.mkdir(parents=True, exist_ok=True)
                target.write_bytes(files[name])
                _count_in(whole, name, files[name])
        return whole.hexdigest()

    def keep(self, names: Iterable[str], digest: str) -> bool:
        """Take files over from the site that stands, where they are what they were; return whether they are."""
        files = {}
        try:
            for name in names:
                if _leads_out(name):
                    return False
                files[name] = (self.place / name).read_bytes()
        except OSError:
            return False
        whole = hashlib.sha256()
        for name in sorted(files):
            _count_in(whole, name, files[name])
        if whole.hexdigest() != digest:
            return False
        self.add(files)
        return True

    def _mark(self, names: Iterable[str], kept: str = "") -> None:
        self._names.update(names)
        lines = [MARKER_HEAD, *sorted(self._names), *([f"{MADE_OF}{kept}"] if kept else [])]
        (self._fresh / MARKER).write_text("\n".join(lines) + "\n", encoding="utf-8")

    def finish(self, made_of: str) -> list[Path]:
        """Put the site in its place and return the paths of its files."""
        self._mark((), made_of)
        with told(self.out), disk.locked(self.place):
            earlier = [*_listed(self.place), MARKER]
            _may_replace(self.place, self.out, self._inputs)
            old = disk.put_in_place(self._fresh, self.place)
            if old is not None:
                disk.remove(old, earlier)
        return [self.out / name for name in sorted(self._names)]

    def drop(self) -> None:
        """Remove what was written; the site that stands stays as it is."""
        disk.remove(self._fresh, [*self._names, MARKER])


def _count_in(whole: hashlib._Hash, name: str, content: bytes) -> None:
    whole.update(f"{name}\n{len(content)}\n".encode(errors="surrogateescape"))
    whole.update(content)


def _may_replace(place: Path, out: Path, inputs: Iterable[Path]) -> None:
    """Refuse a folder that holds an input, or anything but an earlier build."""
    if place.is_symlink():  # a link is followed to its end, so this one has none
        raise RenderError(
            "its links lead back to themselves", where=str(out), hint="mend the link, or choose another folder"
        )
    if not place.exists():
        return
    if not place.is_dir():
        raise RenderError("this is a file, not a folder", where=str(out), hint="choose another folder")
    for path in inputs:
        if disk.real_place(path).is_relative_to(place):
            raise RenderError(
                f"{path} lies in this folder, and a build replaces the folder; nothing was written",
                where=str(out), expected="a folder that holds none of the files read", hint="choose another folder",
            )  # fmt: skip
    strangers = sorted(_strangers(place))
    if strangers:
        named = ", ".join(strangers[:SHOWN_STRANGERS]) + (", ..." if len(strangers) > SHOWN_STRANGERS else "")
        raise RenderError(
            f"this folder holds files that briefgen did not make ({named}); it is left alone",
            where=str(out),
            expected="an empty folder, a new one, or one that holds nothing but an earlier build",
            hint="choose another folder, or move these files out of it",
        )


def _listed(place: Path) -> list[str]:
    """Return the names that the marker of a folder lists; none where it has no marker."""
    return [name for name in _marker_lines(place) if name and not name.startswith(MADE_OF) and not _leads_out(name)]


def standing(out: Path) -> tuple[list[str], str | None]:
    """Return the names of the files of the site that stands in a folder, and what it was made of, if its marker tells."""
    place = disk.real_place(out)
    made_of = next((line.removeprefix(MADE_OF) for line in _marker_lines(place) if line.startswith(MADE_OF)), None)
    return _listed(place), made_of


def _marker_lines(place: Path) -> list[str]:
    try:
        return (place / MARKER).read_text(encoding="utf-8").splitlines()[1:]
    except (OSError, UnicodeError):
        return []


def _leads_out(name: str) -> bool:
    pure = PurePosixPath(name)
    return pure.is_absolute() or ".." in pure.parts


def _strangers(place: Path) -> Iterator[str]:
    """Yield what lies in a folder and is not in its marker: files, links, and folders that hold nothing of ours."""
    ours = {MARKER, *_listed(place)} if (place / MARKER).is_file() else set()
    folders = {str(parent) for name in ours for parent in PurePosixPath(name).parents}
    for path, below, files in os.walk(place):
        here = Path(path)
        for name in files:
            if (shown := (here / name).relative_to(place).as_posix()) not in ours:
                yield shown
        for name in below:
            shown = (here / name).relative_to(place).as_posix()
            if shown not in folders or (here / name).is_symlink():
                yield f"{shown}/"
