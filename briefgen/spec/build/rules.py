"""A checked rules file to RuleSet, with every set it extends merged: all rules hold, an override is said to be one.

The vocabulary is the table of kinds in ``model/rule_kinds.py``: which parameters each check needs and takes (a branch of the
schema for each check would take most of the time of a run), and which way a parameter is stricter, so that an override that
claims to be stricter can be held to it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import field
from typing import Any

from briefgen.errors import Fault
from briefgen.frozen import dataclass
from briefgen.model.rule_kinds import PARAMETERS, RULE_KINDS
from briefgen.model.rules import NOBODY, FuelPolicy, Rule, RuleSet, SetAside
from briefgen.spec.tree.check import Checked, nearest
from briefgen.spec.tree.load import Document, KeyPath
from briefgen.units import Quantity

FUEL_LINES = (
    "contingency",
    "contingency minimum",
    "final reserve",
    "final reserve height",
    "go-around",
    "island reserve",
)
OPTIONAL_FUEL_LINES = {"contingency minimum": 0.0, "go-around": 0.0}
NOT_ALLOWED = float("inf")  # an island reserve no fuel can meet: flying without an alternate is not allowed

Refer = Callable[[Document, KeyPath], Checked | None]


@dataclass(frozen=True)
class _Draft:
    """A set as read so far: the lines of its fuel policy with the source of each, its rules, and those set aside."""

    fuel: dict[str, tuple[float, str]]
    rules: dict[str, Rule]
    set_aside: dict[str, SetAside] = field(default_factory=dict)
    keys: dict[str, str] = field(default_factory=dict)


def build_rules(checked: Checked, refer: Refer) -> RuleSet | None:
    """Return the set of a rules file with everything it extends.

    ``refer`` returns the checked file that a value of a document names, None when it cannot. The result is None when any of
    the files has a fault; a fault found here is left with its file, in ``checked.faults``.
    """
    draft = _draft(checked, refer, (checked.document.file,))
    if draft is None:
        return None
    missing = [line for line in FUEL_LINES if line not in draft.fuel and line not in OPTIONAL_FUEL_LINES]
    if missing:
        problem = f"fuel: {', '.join(missing)} not given here nor in a set it extends"
        _fault(checked, ("fuel",), problem, "a whole fuel policy")
        return None
    name = str(_mapping(checked.document.data)["name"])
    aside = tuple(one for ident, one in draft.set_aside.items() if ident not in draft.rules)
    return RuleSet(name, _policy(draft.fuel), tuple(draft.rules.values()), aside, draft.keys)


def _policy(lines: dict[str, tuple[float, str]]) -> FuelPolicy:
    value = {line: lines[line][0] if line in lines else OPTIONAL_FUEL_LINES[line] for line in FUEL_LINES}
    island_s = value["island reserve"]
    return FuelPolicy(
        contingency_ratio=value["contingency"],
        final_reserve_s=value["final reserve"],
        final_reserve_height_m=value["final reserve height"],
        island_reserve_s=None if island_s == NOT_ALLOWED else island_s,
        source="; ".join(dict.fromkeys(source for _, source in lines.values())),
        contingency_minimum_s=value["contingency minimum"],
        go_around_s=value["go-around"],
    )


def _mapping(data: Any) -> dict[str, Any]:
    assert isinstance(data, dict)
    return data


def _line(checked: Checked, path: KeyPath) -> str:
    """Return the file and the line at which something is written."""
    return f"{checked.document.file}:{checked.document.keys[path].line}"


def _fault(checked: Checked, path: KeyPath, problem: str, expected: str, hint: str = "") -> None:
    checked.faults.append(checked.document.fault(path, problem, expected, hint, at_key=True))


def _draft(checked: Checked, refer: Refer, chain: tuple[str, ...]) -> _Draft | None:
    """Return one file merged with the files it extends; None when one of them has a fault."""
    if not checked.faults:
        checked.faults.extend(_parameter_faults(checked))
    if checked.faults:
        return None
    merged = _parents(checked, refer, chain)
    if merged is None:
        return None
    for line, stated in _fuel_lines(checked).items():
        if line not in merged.fuel or stated[0] > merged.fuel[line][0]:
            merged.fuel[line] = stated
    for ident, reason in _mapping(checked.document.data).get("without", {}).items():
        rule = merged.rules.pop(ident, None)
        if rule is not None:
            by = str(_mapping(checked.document.data)["name"])
            merged.set_aside[ident] = SetAside(rule, str(reason), by, _line(checked, ("without", ident)))
        else:
            problem = f"there is no rule '{ident}' in the sets this one extends"
            _fault(checked, ("without", ident), problem, "a rule of theirs", nearest(ident, list(merged.rules)))
    for role, key in _mapping(checked.document.data).get("approval keys", {}).items():
        if merged.keys.setdefault(role, key) != key:
            problem = f"the {role} has another key in a set this one extends"
            _fault(checked, ("approval keys", role), problem, merged.keys[role])
    for ident in _mapping(checked.document.data).get("rules", {}):
        _add(checked, ident, merged.rules)
    return None if checked.faults else merged


def _parents(checked: Checked, refer: Refer, chain: tuple[str, ...]) -> _Draft | None:
    """Return the sets a file extends in one: every rule, and of every fuel line the larger number."""
    merged, document, sound = _Draft({}, {}), checked.document, True
    for index, name in enumerate(_mapping(document.data).get("extends", ())):
        path: KeyPath = ("extends", index)
        if name in chain:
            problem = f"'{name}' extends itself by way of {' and '.join(chain)}"
            _fault(checked, path, problem, "sets that extend one another in one direction only")
            return None
        file = refer(document, path)
        parent = None if file is None else _draft(file, refer, (*chain, name))
        if parent is None:
            sound = False
            continue
        for line, stated in parent.fuel.items():
            if line not in merged.fuel or stated[0] > merged.fuel[line][0]:
                merged.fuel[line] = stated
        merged.set_aside.update(parent.set_aside)
        for role, key in parent.keys.items():
            if merged.keys.setdefault(role, key) != key:
                _fault(checked, path, f"the {role} has another key in another set extended here", merged.keys[role])
        for ident, rule in parent.rules.items():
            if merged.rules.setdefault(ident, rule) != rule:
                problem = f"'{ident}' stands in '{name}' and differently in another set extended here"
                _fault(checked, path, problem, "sets that agree on a rule", "rename one of the two rules")
    return merged if sound else None


def _fuel_lines(checked: Checked) -> dict[str, tuple[float, str]]:
    source = str(_mapping(checked.document.data).get("fuel", {}).get("source", ""))
    lines = {}
    for line in FUEL_LINES:
        if ("fuel", line) in checked.fields:
            value = checked.fields["fuel", line]
            lines[line] = (value.si_value if isinstance(value, Quantity) else NOT_ALLOWED, source)
    return lines


def _add(checked: Checked, ident: str, rules: dict[str, Rule]) -> None:
    rule, path = _rule(checked, ident), ("rules", ident)
    override = _mapping(checked.document.data)["rules"][ident].get("override")
    known = rules.get(ident)
    if known is None and override is not None:
        problem = f"'{ident}' overrides no rule of the sets this one extends"
        hint = nearest(ident, list(rules))
        _fault(checked, (*path, "override"), problem, "the identifier of a rule of theirs", hint)
    elif known is not None and override is None:
        problem = f"'{ident}' is already a rule of a set this one extends, from {known.given}"
        _fault(checked, path, problem, "'override: stricter' or 'override: replace'", "rename it, or say which it is")
    elif known is not None and override == "stricter":
        _hold_stricter(checked, path, known, rule)
    rules[ident] = rule


def _hold_stricter(checked: Checked, path: KeyPath, known: Rule, rule: Rule) -> None:
    if rule.check != known.check or (rule.severity, known.severity) == ("caution", "fail"):
        problem = f"'{rule.ident}' has another check or a milder severity than the rule it overrides"
        _fault(checked, path, problem, f"check '{known.check}' and severity {known.severity}")
        return
    if not _accepted_as_rarely(rule, known):
        problem = f"more may accept a breach of '{rule.ident}' than in {known.given}"
        _fault(
            checked, (*path, "accepted by") if rule.accepted_by else path, problem, f"{', '.join(known.accepted_by)}"
        )
    for name, before in known.parameters.items():
        now = rule.parameters.get(name)
        way = PARAMETERS[name].stricter
        kept = now == before
        if isinstance(now, float) and isinstance(before, float) and way:
            kept = now >= before if way == "larger" else now <= before
        if not kept:
            problem = f"'{name}' is not as strict as in {known.given}"
            hint = "say 'override: replace' and why, if that is meant"
            _fault(checked, (*path, "parameters", name), problem, f"the same or {way or 'nothing else'}", hint)


def _accepted_as_rarely(rule: Rule, known: Rule) -> bool:
    """Return whether nobody may accept a breach of a rule who might not accept one of the rule it overrides."""
    if not known.accepted_by or rule.accepted_by == (NOBODY,):
        return True
    return bool(rule.accepted_by) and set(rule.accepted_by) <= set(known.accepted_by)


def _parameter_faults(checked: Checked) -> Iterator[Fault]:
    """Yield what each rule lacks or has too much for its check, and a replacement that does not say why."""
    document, kinds = checked.document, {kind.name: kind for kind in RULE_KINDS}
    for ident, words in _mapping(document.data).get("rules", {}).items():
        path: KeyPath = ("rules", ident)
        given, wanted = words.get("parameters", {}), kinds[words["check"]]
        for name in wanted.needs:
            if name not in given:
                problem = f"rules.{ident}: parameter '{name}' is missing"
                expected = f"the check '{words['check']}' with {', '.join(wanted.needs)}"
                yield document.fault((*path, "parameters") if given else path, problem, expected, at_key=True)
        for name in given:
            if name not in wanted.takes:
                problem = f"rules.{ident}: '{name}' is no parameter of the check '{words['check']}'"
                expected = f"one of {', '.join(wanted.takes)}" if wanted.takes else "no parameters"
                yield document.fault((*path, "parameters", name), problem, expected, at_key=True)
        roles = words.get("accepted by", [])
        if NOBODY in roles and len(roles) > 1:
            problem = f"rules.{ident}: a breach is accepted by nobody and by {', '.join(set(roles) - {NOBODY})}"
            yield document.fault((*path, "accepted by"), problem, "[nobody] alone, or roles", at_key=True)
        if words.get("override") == "replace" and "because" not in words:
            problem = f"rules.{ident}: it replaces a rule and does not say why"
            yield document.fault((*path, "override"), problem, "because: the reason", at_key=True)


def _rule(checked: Checked, ident: str) -> Rule:
    document, path = checked.document, ("rules", ident)
    words = _mapping(document.data)["rules"][ident]
    parameters = {name: _value(checked.fields[*path, "parameters", name]) for name in words.get("parameters", {})}
    within = checked.fields.get((*path, "caution within"))
    mark = document.keys[path]
    return Rule(
        ident=ident,
        check=words["check"],
        title=words["title"],
        text=" ".join(words["text"].split()),
        severity=words["severity"],
        source=words["source"],
        provenance=words["provenance"],
        parameters=parameters,
        caution_within_ratio=within.si_value if isinstance(within, Quantity) else 0.0,
        given=f"{document.file}:{mark.line}",
        accepted_by=tuple(words.get("accepted by", ())),
    )


def _value(field: object) -> float | str:
    if isinstance(field, Quantity):
        return field.si_value
    if isinstance(field, int | float):
        return float(field)
    return str(field)
