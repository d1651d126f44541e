"""One mission of many, built in a process of its own: what it comes to, or why it does not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any

from briefgen.approval.hold import held
from briefgen.approval.keep import tool
from briefgen.bench.vary import with_variations
from briefgen.document import require_conservation
from briefgen.document.parts.assemble import source_of, verdict
from briefgen.document.site import folder_name, mission_files
from briefgen.errors import BriefgenError
from briefgen.fleet.conflicts import uses_of
from briefgen.model.approval import RECORD
from briefgen.model.bench import Uses
from briefgen.model.plan import Plan
from briefgen.planning.journey import plan_sectors
from briefgen.spec import read_sectors
from briefgen.spec.tree.files import SharedFiles

SHARED = SharedFiles()  # of this process: the files that many missions refer to are read once


@dataclass(frozen=True)
class Order:
    """What is to be built."""

    path: Path
    pdf: bool
    built_at: datetime | None
    today: date


@dataclass(frozen=True)
class Built:
    """One mission built: its files by their path in the site, its row of the index, what it was read from and uses."""

    path: Path
    files: Mapping[str, bytes]
    row: Mapping[str, Any]
    read: Mapping[str, str]  # name to SHA-256
    uses: Uses
    approved: bool  # an approval stands beside it, and whether it holds is a matter of the day


@dataclass(frozen=True)
class Failed:
    """One mission that could not be built, and why, in the lines a person reads."""

    path: Path
    told: str
    exit_code: int


def build_one(order: Order) -> Built | Failed:
    """Return one mission read, planned and rendered; what is wrong with it is told and not raised."""
    try:
        plan = _planned(order)
        files = mission_files(source_of(plan), pdf=order.pdf, built_at=order.built_at)
    except BriefgenError as error:
        return Failed(order.path, error.text(), error.exit_code)
    folder = folder_name(plan)
    outcome, sign, sentence = verdict(plan)
    row = {
        "folder": folder,
        "identity": source_of(plan).identity,
        "outcome": outcome,
        "sign": sign,
        "sentence": sentence,
    }
    return Built(
        order.path, {f"{folder}/{name}": content for name, content in files.items()}, row,
        {file.name: file.digest for file in plan.mission.files}, uses_of(plan), plan.approval is not None,
    )  # fmt: skip


def _planned(order: Order) -> Plan:
    try:
        plan = plan_sectors(read_sectors(order.path, shared=SHARED))
        if order.path.with_name(order.path.stem + RECORD).is_file():
            plan = held(plan, order.path, order.today, tool())
        require_conservation(plan)
    except BriefgenError as error:
        raise error if getattr(error, "faults", None) else error.at(str(order.path)) from error
    return with_variations(order.path, plan)
