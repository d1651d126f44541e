"""The specification folder: which files may be reached, each loaded and checked once."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath

from briefgen.errors import Fault, SpecError, unseen
from briefgen.model.bench import Change
from briefgen.model.mission import SourceFile
from briefgen.spec.tree.change import changed, known_paths, unknown_path
from briefgen.spec.tree.check import Checked, check
from briefgen.spec.tree.load import MAX_BYTES, Document, KeyPath, load_file, unseen_problem
from briefgen.spec.tree.shape import path_text

_EXPECTED = "a relative path inside the specification folder, such as aircraft/t4-freighter.yaml"


@dataclass
class SharedFiles:
    """Files that many missions of one run refer to, each loaded and checked once as long as its bytes are the same."""

    loaded: dict[tuple[str, str], tuple[str, Document, dict[str, Checked]]] = field(default_factory=dict)

    def load(self, root: Path, name: str) -> Document:
        """Return a file, from what is kept where it has not changed since; raise SpecError as `load_file` does."""
        path = root / name
        key = (str(root), name)
        try:
            state = path.stat()
            stamp = f"{state.st_mtime_ns} {state.st_size} {state.st_ino}"
        except OSError:
            return load_file(path, name)
        if key not in self.loaded or self.loaded[key][0] != stamp:
            self.loaded[key] = stamp, load_file(path, name), {}
        return self.loaded[key][1]

    def checked(self, root: Path, name: str, document: Document, kind: str) -> Checked:
        """Return a loaded file checked; a file that is a mission is not kept."""
        _, kept, checks = self.loaded.get((str(root), name), ("", document, {}))
        if kept is not document:
            return check(document, kind)
        if kind not in checks:
            checks[kind] = check(document, kind)
        return checks[kind]


@dataclass
class SpecFiles:
    """The files of one run below one folder, with all faults found in them; names are relative to the folder."""

    root: Path
    faults: list[Fault] = field(default_factory=list)
    documents: dict[str, Document] = field(default_factory=dict)
    checked: dict[str, Checked] = field(default_factory=dict)
    tables: dict[str, str] = field(default_factory=dict)
    _digests: dict[str, str] = field(default_factory=dict)
    shared: SharedFiles | None = None  # what other missions of this run have read
    changes: tuple[Change, ...] = ()  # of what is written, made as the files are read
    _made: set[Change] = field(default_factory=set)
    _paths: list[str] = field(default_factory=list)  # that a change could have named

    def open(self, name: str, kind: str) -> Checked | None:
        """Return a file loaded and checked, None if its text cannot be read; faults of its shape are in it."""
        document = self._load(name)
        if document is not None and name not in self.checked:
            document = self._changed(name, document, kind) if self.changes else document
            self.checked[name] = (
                self.shared.checked(self.root, name, document, kind) if self.shared else check(document, kind)
            )
        return self.checked.get(name)

    def _changed(self, name: str, document: Document, kind: str) -> Document:
        self._paths += known_paths(document, kind)
        document, made = changed(document, kind, self.changes)
        self._made.update(made)
        self.documents[name], self._digests[name] = document, document.digest
        return document

    def require_changes_made(self) -> None:
        """Raise UsageError where a change names a path that none of the files has."""
        for change in self.changes:
            if change not in self._made:
                raise unknown_path(change, self._paths)

    def refer(self, document: Document, path: KeyPath, kind: str) -> Checked | None:
        """Return the file a value names; a name that leads outside or nowhere is a fault at that value."""
        name = self._name(document, path)
        return self.open(name, kind) if name is not None else None

    def _load(self, name: str) -> Document | None:
        if name not in self.documents:
            try:
                self.documents[name] = (
                    self.shared.load(self.root, name) if self.shared else load_file(self.root / name, name)
                )
                self._digests[name] = self.documents[name].digest
            except SpecError as error:
                self.faults.extend(error.faults)
        return self.documents.get(name)

    def refer_table(self, document: Document, path: KeyPath) -> str | None:
        """Return the text of a table file a value names."""
        name = self._name(document, path)
        if name is None or name in self.tables:
            return self.tables.get(name or "")
        try:
            with (self.root / name).open("rb") as stream:
                raw = stream.read(MAX_BYTES + 1)
            if len(raw) > MAX_BYTES:
                self._fault(document, path, f"'{name}' is larger than {MAX_BYTES:,} bytes", "a shorter table")
                return None
            self.tables[name] = raw.decode("utf-8-sig")
        except OSError as error:
            self._fault(document, path, f"'{name}' cannot be read: {(error.strerror or '').lower()}", "a table file")
            return None
        except UnicodeDecodeError:
            self._fault(document, path, f"'{name}' is not UTF-8 text", "a table saved with the encoding UTF-8")
            return None
        if places := unseen(self.tables[name].replace("\r\n", "\n")):
            problem, expected, hint = unseen_problem(self.tables[name].replace("\r\n", "\n")[places[0]])
            self._fault(document, path, f"in '{name}' {problem}", expected, hint)
            return None
        self._digests[name] = hashlib.sha256(raw).hexdigest()
        return self.tables[name]

    def digest(self) -> str:
        """Return one SHA-256 over names and bytes of every file read."""
        lines = "".join(f"{name} {digest}\n" for name, digest in sorted(self._digests.items()))
        return hashlib.sha256(lines.encode()).hexdigest()

    def sources(self) -> tuple[SourceFile, ...]:
        """Return every file read, with its values as they were written, in the order of their names."""
        return tuple(SourceFile(name, digest, self._written(name)) for name, digest in sorted(self._digests.items()))

    def _written(self, name: str) -> tuple[tuple[KeyPath, int, int, str], ...]:
        document = self.documents.get(name)
        if document is None:
            return ()
        marks = document.values
        return tuple((path, marks[path].line, marks[path].column, text) for path, text in document.texts.items())

    def all_faults(self) -> list[Fault]:
        """Return every fault of every file so far."""
        return [*self.faults, *(fault for one in self.checked.values() for fault in one.faults)]

    def _name(self, document: Document, path: KeyPath) -> str | None:
        text = document.texts.get(path)
        if text is None:
            return None
        pure = PurePosixPath(text)
        if not text or pure.is_absolute() or "\\" in text or ":" in text or ".." in pure.parts or "\0" in text:
            self._fault(document, path, f"'{text}' leads outside the specification folder", _EXPECTED)
            return None
        target = self.root / pure
        try:
            inside = target.resolve().is_relative_to(self.root.resolve())
        except (OSError, RuntimeError):
            inside = False
        if not inside:
            self._fault(document, path, f"'{text}' leads outside the specification folder through a link", _EXPECTED)
            return None
        if not target.is_file():
            self._fault(document, path, f"'{text}': there is no such file", _EXPECTED, self._similar(pure))
            return None
        return str(pure)

    def _similar(self, pure: PurePosixPath) -> str:
        from briefgen.spec.tree.check import nearest

        folder = self.root / pure.parent
        if not folder.is_dir():
            return f"there is no folder '{pure.parent}'"
        names = sorted(str(pure.parent / one.name) for one in folder.iterdir() if one.is_file())
        return nearest(str(pure), names)

    def _fault(self, document: Document, path: KeyPath, problem: str, expected: str, hint: str = "") -> None:
        self.faults.append(document.fault(path, f"{path_text(path)}: {problem}", expected, hint))
