"""The fingerprint that ties a printed card to one plan."""

from __future__ import annotations

import hashlib

from briefgen.document.parts.format import Figures
from briefgen.model.ledger import ADDED
from briefgen.model.plan import Plan


def fingerprint(plan: Plan, figures: Figures | None = None) -> str:
    """Return SHA-256 over the files read and every figure as it is printed, those of its sectors included.

    Not over the values behind the figures: their last binary digits differ between versions of the interpreter and of its
    mathematics, and two people with the same cards in their hands have the same plan.
    """
    figures = figures or Figures(plan)
    digest = hashlib.sha256(plan.mission.digest.encode())
    for key in plan.ledger.entries:
        if key.startswith(ADDED):
            continue
        digest.update(f"{key} = {figures[key]}\n".encode())
    for sector in plan.sectors:
        digest.update(f"{fingerprint(sector)}\n".encode())
    return digest.hexdigest()
