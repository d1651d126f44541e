"""Plans to documents: the briefing site, the printed cards, the machine-readable plan and the text for the terminal.

Heavy libraries are imported only when a site is built; the other doors stay light.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from briefgen.model.plan import Plan
    from briefgen.model.sheet import AircraftSheet


def ready(out: Path, inputs: Iterable[Path] = ()) -> None:
    """Make sure, before any work is done, that a folder may be replaced by a site; put right what a killed build left."""
    from briefgen.document.write import ready as make_ready

    make_ready(out, inputs)


def build_site(
    plans: Sequence[Plan],
    out: Path,
    *,
    pdf: bool = True,
    built_at: datetime | None = None,
    inputs: Iterable[Path] = (),
) -> list[Path]:
    """Build the site of some plans in a folder and return the paths of its files; on failure the old site is untouched.

    A folder that holds one of the ``inputs``, the mission files of the plans in order, is refused.
    """
    from briefgen.document.site import site_files
    from briefgen.document.unchanged import made_of
    from briefgen.document.write import write_site
    from briefgen.model.ledger import ADDED

    inputs = tuple(inputs)
    files = site_files(plans, pdf=pdf, built_at=built_at)
    read = [{file.name: file.digest for file in plan.mission.files} for plan in plans]
    told = made_of(list(zip(inputs, read, strict=True)), files, pdf=pdf, built_at=built_at) if inputs else None
    if any(plan.approval is not None or any(key.startswith(ADDED) for key in plan.ledger.entries) for plan in plans):
        told = None  # an approval may end with the day, and what a build adds is asked for anew
    return write_site(files, out, inputs, told)


def still_fresh(out: Path, missions: Sequence[Path], *, pdf: bool, built_at: datetime | None) -> int:
    """Return of how many files the site in a folder is, if a build would make it again byte for byte; otherwise 0."""
    from briefgen.document.unchanged import unchanged_files

    return unchanged_files(out, missions, pdf=pdf, built_at=built_at)


def plan_json(plan: Plan) -> str:
    """Return the machine-readable plan."""
    from briefgen.document.downloads import plan_json as as_json

    return as_json(plan)


def fingerprint(plan: Plan) -> str:
    """Return the fingerprint of a plan: over the files read and every figure as it is printed."""
    from briefgen.document.parts.digest import fingerprint as of_plan

    return of_plan(plan)


def require_conservation(plan: Plan) -> None:
    """Raise InternalError if a plan loses mass, fuel, time or distance, or a printed sum is none.

    Raises:
        SpecError: A written text quotes a figure that the plan does not have, or holds a letter the cards lack.
    """
    from briefgen.document.authored import require_texts
    from briefgen.document.conservation import require_conservation as require

    require(plan)
    require_texts(plan)


def printed(plan: Plan) -> Mapping[str, str]:
    """Return the printed figure of every entry by key."""
    from briefgen.document.parts.format import printed as figures

    return figures(plan)


def first_figures() -> tuple[str, ...]:
    """Return the keys of the figures that a crew reads first: those of the front page."""
    from briefgen.document.pages.chosen import FRONT

    return tuple(figure.key for figure, _ in FRONT)


def terminal_text(plan: Plan) -> str:
    """Return the plan as plain text tables."""
    from briefgen.document.terminal import terminal_text as as_text

    return as_text(plan)


def findings_text(plan: Plan) -> str:
    """Return what the review does not pass without a remark, for the terminal; empty when it passes all."""
    from briefgen.document.terminal import findings_text as as_text

    return as_text(plan)


def findings_told(plan: Plan) -> tuple[tuple[str, str], ...]:
    """Return the sentence of every finding, its figures printed, by its name."""
    from briefgen.document.parts.format import Figures

    figures = Figures(plan)
    return tuple((finding.ident, figures.text(finding.text)) for finding in plan.findings)


def approval_text(plan: Plan) -> str:
    """Return whether a plan is approved as it stands and, where it is no longer, what has changed, for the terminal."""
    from briefgen.document.terminal import approval_text as as_text

    return as_text(plan)


def approval_data(plan: Plan) -> dict[str, object]:
    """Return whether a plan is approved as it stands, as data."""
    from briefgen.document.terminal import approval_data as as_data

    return as_data(plan)


def check_data(plan: Plan) -> dict[str, object]:
    """Return how a plan stands, its sectors below it, as data."""
    from briefgen.document.terminal import check_data as as_data

    return as_data(plan)


def explain_text(plan: Plan, key: str) -> str:
    """Return the tree of entries under one, each with its figure, method and source."""
    from briefgen.document.explain import explain_text as as_text

    return as_text(plan, key)


def keys_text(plan: Plan, wanted: str) -> str:
    """Return the keys of a plan's entries that hold a text, each with its label and figure."""
    from briefgen.document.explain import keys_text as as_text

    return as_text(plan, wanted)


def sheets_text(sheets: Sequence[AircraftSheet]) -> str:
    """Return the sheets of an aircraft as plain text tables."""
    from briefgen.document.aircraft_text import sheet_text

    return "\n".join(sheet_text(sheet) for sheet in sheets)


def sheets_json(sheets: Sequence[AircraftSheet]) -> str:
    """Return the sheets of an aircraft as data."""
    from briefgen.document.aircraft_text import sheets_json as as_json

    return as_json(sheets)


def aircraft_page(sheets: Sequence[AircraftSheet], out: Path, inputs: Iterable[Path] = ()) -> list[Path]:
    """Draw the sheets of an aircraft as a page in a folder and return the paths of its files."""
    from briefgen.document.aircraft_page import aircraft_files
    from briefgen.document.write import write_site

    return write_site(aircraft_files(sheets), out, inputs)
