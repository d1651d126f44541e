"""What the authors wrote, held against the plan before anything is made of it: every figure a text quotes is there, every letter can be set."""

from __future__ import annotations

import difflib
from collections.abc import Iterator

from briefgen.document.parts.format import REFERENCE
from briefgen.document.parts.measure import covered
from briefgen.errors import Fault, SpecError
from briefgen.model.plan import Plan
from briefgen.model.record import is_declared

OF_AIRCRAFT = "aircraft:"


def require_texts(plan: Plan) -> None:
    """Raise SpecError, with every place, if a text quotes a figure the plan does not have, or holds a letter the cards lack.

    A text of an aircraft file may quote what this mission has no use for, such as the drop of a flight without one: there
    only a figure that no plan has is a fault.
    """
    faults = tuple(_faults(plan))
    if faults:
        raise SpecError(faults)


def _faults(plan: Plan) -> Iterator[Fault]:
    for path, given in plan.mission.given.items():
        if lacking := next((sign for sign in given.text if not covered(sign)), ""):
            yield Fault(
                given.file, given.line, given.column,
                f"{path.rpartition(':')[2]}: the cards' typeface has no character {lacking!r} (U+{ord(lacking):04X})",
                "letters of western European languages, Greek, figures, arrows and the usual signs", "write the word without it",
            )  # fmt: skip
        for found in REFERENCE.finditer(given.text):
            key = found[1]
            if key is None or key in plan.ledger.entries or (path.startswith(OF_AIRCRAFT) and is_declared(key)):
                continue
            near = difflib.get_close_matches(key, plan.ledger.entries, 3)
            yield Fault(
                given.file, given.line, given.column, f"{path.rpartition(':')[2]}: the text quotes '{key}', which the plan does not have",
                "the key of an entry of the plan", f"nearest: {', '.join(near)}" if near else "write '{{' for a brace that quotes nothing",
            )  # fmt: skip
