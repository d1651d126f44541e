"""Ledger keys that several sections share, each made in one place."""

from __future__ import annotations

from briefgen.model.mission import RouteItem


def item_keys(items: tuple[RouteItem, ...]) -> tuple[str, ...]:
    """Return the head of the keys of each route item; legs, actions and holds are each counted from 1."""
    counts: dict[str, int] = {}
    keys = []
    for item in items:
        kind = type(item).__name__.lower()
        counts[kind] = counts.get(kind, 0) + 1
        keys.append(f"{kind}.{counts[kind]:02d}")
    return tuple(keys)


def alternate_key(ident: str) -> str:
    """Return the head of the keys of the way to one alternate."""
    return f"alternate.{ident.lower()}"


def place_key(ident: str) -> str:
    """Return the head of the keys of one place."""
    return f"place.{ident.lower()}"


def phase_key(ident: str) -> str:
    """Return the head of the keys of one phase; a phase of a diversion already carries its alternate's key."""
    return ident if ident.startswith("alternate.") else f"phase.{ident}"
