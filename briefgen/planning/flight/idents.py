"""What route items and ways to alternates are called: phases take their names from these, the ledger its keys."""

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
