"""Specifications: written files in, one checked Mission out, every fault at its line.

What is asked for here is loaded then: a build that finds nothing changed only lists the missions of a folder.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from briefgen.spec.choose import named_sector, require_whole
    from briefgen.spec.folder import missions_in
    from briefgen.spec.outline import outline_text
    from briefgen.spec.read import files_of_mission, read_aircraft, read_mission, read_sectors
    from briefgen.spec.tree.check import KINDS, schema_text

__all__ = [
    "KINDS",
    "files_of_mission",
    "missions_in",
    "named_sector",
    "outline_text",
    "read_aircraft",
    "read_mission",
    "read_sectors",
    "require_whole",
    "schema_text",
]

_FROM = {
    "missions_in": "folder",
    "outline_text": "outline",
    "KINDS": "tree.check",
    "schema_text": "tree.check",
    "named_sector": "choose",
    "require_whole": "choose",
}  # all others: read


def __getattr__(name: str) -> object:
    if name not in __all__:
        raise AttributeError(f"the room has no {name}")
    return getattr(import_module(f"{__name__}.{_FROM.get(name, 'read')}"), name)
