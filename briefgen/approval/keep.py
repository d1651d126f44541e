"""How an approval gets onto the disk: the approved plan, the signature, and the record that binds both, written last."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from briefgen import __version__
from briefgen.approval.hold import beside
from briefgen.approval.record import ApprovalRecord, record_bytes
from briefgen.disk import replace_file
from briefgen.errors import RenderError
from briefgen.model.approval import FIGURES, RECORD, SIGNATURE

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

OURS = {RECORD: b'{\n "briefgen": "approval/', FIGURES: b'{\n"briefgen": "plan/', SIGNATURE: b""}
SIGNATURE_BYTES = 89  # 64 in base64, and a line end


def tool() -> str:
    """Return the program and its version, as a record names them."""
    return f"briefgen {__version__}"


def keep(mission_file: Path, record: ApprovalRecord, figures: str, key: Ed25519PrivateKey | None) -> list[Path]:
    """Write an approval beside its mission file and return the files written; an earlier approval is replaced.

    Raises:
        RenderError: A file of that name is there and is none of an approval; nothing was written.
    """
    content = record_bytes(record)
    files = {FIGURES: figures.encode()}
    if key is not None:
        from briefgen.approval.signing import signature_bytes

        files[SIGNATURE] = signature_bytes(key, content)
    files[RECORD] = content
    for ending in OURS:
        _require_ours(beside(mission_file, ending), ending)
    if key is None:
        beside(mission_file, SIGNATURE).unlink(missing_ok=True)
    for ending, text in files.items():
        replace_file(beside(mission_file, ending), text)
    return [beside(mission_file, ending) for ending in files]


def _require_ours(path: Path, ending: str) -> None:
    if not path.is_file():
        return
    with path.open("rb") as stream:
        head = stream.read(SIGNATURE_BYTES + 1)
    if not head.startswith(OURS[ending]) or (ending == SIGNATURE and len(head) > SIGNATURE_BYTES):
        raise RenderError(
            "a file of this name is there and is none of an approval; it is left alone", where=str(path),
            hint="move it elsewhere first",
        )  # fmt: skip
