"""Specifications: written files in, one checked Mission out, every fault at its line."""

from __future__ import annotations

from briefgen.spec.outline import outline_text
from briefgen.spec.read import files_of_mission, missions_in, read_aircraft, read_mission
from briefgen.spec.tree.check import KINDS, schema_text

__all__ = ["KINDS", "files_of_mission", "missions_in", "outline_text", "read_aircraft", "read_mission", "schema_text"]
