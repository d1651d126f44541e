"""Ledger keys that several sections share, each made in one place."""

from __future__ import annotations


def place_key(ident: str) -> str:
    """Return the head of the keys of one place."""
    return f"place.{ident.lower()}"


def phase_key(ident: str) -> str:
    """Return the head of the keys of one phase; a phase of a diversion already carries its alternate's key."""
    return ident if ident.startswith("alternate.") else f"phase.{ident}"


def departure_name(ident: str) -> str:
    """Return the part of the ledger keys that names the departure from a field, where she may also land."""
    return f"departure.{ident.lower()}"
