"""How one number came about, as plain text: its origins as a tree, a chain of phases one line a phase, what was written on one line.

What stands in a phase of the flight rests on much that the same phase holds and on the phase before. Those are named with their
figures and not unfolded; each can be asked for by its own key.
"""

from __future__ import annotations

import difflib
import re
import textwrap
from collections.abc import Sequence

from briefgen.document.parts.assemble import Source, source_of
from briefgen.errors import UsageError
from briefgen.model.ledger import Entry
from briefgen.model.plan import Plan

SUGGESTIONS = 5
WIDTH = 120
FLOWN = re.compile(r"(phase|alternate\.[^.]+)\.\d+-")  # the record of a phase of the flight or of a way to an alternate
BEFORE = {"begin": "end", "mass": "mass_after"}  # where the phase before ends in a figure of another name


def explain_text(plan: Plan, key: str) -> str:
    """Return the tree under one entry, or why it has no value; an entry met again is named, not unfolded again.

    Raises:
        UsageError: The plan has no such entry; the message offers the nearest.
    """
    if key in plan.ledger.absent:
        return f"{key} has no value: {plan.ledger.absent[key]}\n"
    if key not in plan.ledger:
        near = difflib.get_close_matches(key, plan.ledger.entries, SUGGESTIONS, 0.5)
        near += [name for name in plan.ledger.entries if name.startswith(f"{key}.")][: SUGGESTIONS - len(near)]
        held = next((n for n, one in enumerate(plan.sectors, start=1) if key in one.ledger), 0)
        if held:
            raise UsageError(
                f"'{key}' is a figure of a sector, and the mission has {len(plan.sectors)}",
                expected=f"the sector named behind the file, such as {plan.mission.file}#{held}",
            )
        raise UsageError(
            f"the plan has no entry called '{key}'",
            expected="the key of an entry, as on the page of numbers, in plan.json and in 'briefgen explain SPEC --list'",
            hint=f"nearest: {', '.join(dict.fromkeys(near))}" if near else "",
        )
    tree = _Tree(source_of(plan))
    tree.unfold(key, "", "")
    return "\n".join(tree.lines).replace("\u00a0", " ") + "\n"


def keys_text(plan: Plan, wanted: str) -> str:
    """Return the keys that hold a text, or whose label does, each with its figure.

    Raises:
        UsageError: No key and no label holds it.
    """
    source, text = source_of(plan), wanted.lower()
    found = [
        (key, source.printed.label(key), source.printed.quoted(key))
        for key, entry in plan.ledger.entries.items()
        if text in key.lower() or text in entry.label.lower()
    ]
    if not found:
        raise UsageError(f"no entry of the plan has '{wanted}' in its key or its label", expected="a part of either")
    width = max(len(key) for key, _, _ in found)
    lines = [f"{key:{width}}  {label} = {figure}" for key, label, figure in found]
    return "\n".join(lines).replace("\u00a0", " ") + "\n"


def _record(key: str) -> str:
    return key.rpartition(".")[0]


class _Tree:
    """The lines of one explanation while they are found."""

    def __init__(self, source: Source) -> None:
        self._source, self._seen = source, set[str]()
        self.lines: list[str] = []

    def unfold(self, key: str, lead: str, under: str) -> None:
        """Add an entry and what it rests on."""
        entry = self._source.plan.ledger[key]
        again = key in self._seen and bool(entry.inputs)
        self.lines.append(lead + self._line(entry, again))
        if again:
            return
        self._seen.add(key)
        written, rest = self._parted(entry)
        flown = FLOWN.match(key) is not None
        chain = self._chain(key) if flown else []
        own = [name for name in rest if name not in chain[:1]]
        by_phase = flown or sum(FLOWN.match(name) is not None for name in own) > 1
        below: list[tuple[str, str]] = [("entry", name) for name in own]
        if chain:
            below.append(("chain", ""))
        if written:
            below.append(("written", ""))
        for number, (sort, name) in enumerate(below, start=1):
            last = number == len(below)
            branch, trunk = f"{under}{'`- ' if last else '|- '}", f"{under}{'   ' if last else '|  '}"
            if sort == "chain":
                self._add_chain(chain, branch, trunk)
            elif sort == "written":
                self._add_written(written, branch, trunk)
            elif by_phase and FLOWN.match(name):
                self.lines.append(branch + self._line(self._source.plan.ledger[name], again=False))
            else:
                self.unfold(name, branch, trunk)

    def _line(self, entry: Entry, again: bool) -> str:
        origin = f" [{entry.source}]" if entry.source else ""
        written = f", written '{entry.given.text}'" if entry.given else ""
        tail = " (above)" if again else f": {entry.method}{origin}{written}"
        printed = self._source.printed
        return f"{printed.label(entry.key)} = {printed.quoted(entry.key)} ({entry.key}){tail}"

    def _parted(self, entry: Entry) -> tuple[list[str], list[str]]:
        """Return the inputs that somebody wrote, where there are many of them, and the others."""
        ledger = self._source.plan.ledger
        written = [name for name in entry.inputs if not ledger[name].inputs]
        if FLOWN.match(entry.key) is None and len(written) < len(entry.inputs):
            return [], list(entry.inputs)
        if len(written) <= SUGGESTIONS and FLOWN.match(entry.key) is None:
            return [], list(entry.inputs)
        return written, [name for name in entry.inputs if name not in written]

    def _chain(self, key: str) -> list[str]:
        """Return the same figure in the phases before, back to the first."""
        ledger, found = self._source.plan.ledger, list[str]()
        at = key
        while True:
            tail = at.rpartition(".")[2]
            names = (tail, BEFORE.get(tail, tail))
            before = [
                name for name in ledger[at].inputs if _record(name) != _record(at) and name.rpartition(".")[2] in names
            ]
            if not before or FLOWN.match(before[0]) is None:
                return found
            at = before[0]
            found.append(at)

    def _add_chain(self, chain: Sequence[str], branch: str, trunk: str) -> None:
        self.lines.append(f"{branch}the phases before, the last first:")
        printed = self._source.printed
        self.lines += [f"{trunk}   {printed.label(name)} = {printed.quoted(name)} ({name})" for name in chain]

    def _add_written(self, written: Sequence[str], branch: str, trunk: str) -> None:
        printed, ledger = self._source.printed, self._source.plan.ledger
        told = "; ".join(
            f"{printed.label(name)} {printed.quoted(name)} ({name}, {ledger[name].source})" for name in written
        )
        self.lines += textwrap.wrap(
            f"as written: {told}", WIDTH, initial_indent=branch, subsequent_indent=f"{trunk}   ", break_on_hyphens=False
        )
