"""Specifications: written files in, one checked Mission out, every fault at its line."""

from __future__ import annotations

from briefgen.spec.choose import named_sector, require_whole
from briefgen.spec.read import files_of_mission, missions_in, read_aircraft, read_mission, read_sectors
from briefgen.spec.tree.check import KINDS, schema_text

__all__ = [
    "KINDS",
    "files_of_mission",
    "missions_in",
    "named_sector",
    "read_aircraft",
    "read_mission",
    "read_sectors",
    "require_whole",
    "schema_text",
]
