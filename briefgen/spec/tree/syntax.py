"""What PyYAML says about text it cannot read, in words for the author of the text."""

from __future__ import annotations

import yaml

from briefgen.errors import Fault

_RULES: tuple[tuple[str, str, str, str], ...] = (
    # words in PyYAML's context or problem (C and Python wordings), problem, expected, hint
    (
        "scanning a quoted scalar",
        "a quoted text is not closed",
        "a quote at the end of the text",
        "close the quote; inside '…' write '' for an apostrophe",
    ),
    (
        "mapping values are not allowed",
        "a ':' stands where no key can be",
        "one 'key: value' to a line, keys of one group with the same indentation",
        "put a text that contains ': ' in quotes, or check the indentation",
    ),
    (
        "sequence entries are not allowed",
        "a list item '-' stands where no list can begin",
        "each '-' on a line of its own",
        "begin the list on the next line",
    ),
    (
        "while parsing a flow",
        "a bracket or brace is not closed, or a comma is missing",
        "items separated by commas and a closing ']' or '}'",
        "look at the end of the line before",
    ),
    (
        "nesting depth",
        "values are nested too deep",
        "at most 40 levels",
        "",
    ),
    (
        "while parsing a block",
        "this line does not fit the lines above it",
        "the same indentation for all keys or items of one group",
        "check the indentation here and in the line before, and that no quote above is left open",
    ),
    (
        "could not find expected ':'",
        "a key has no ':'",
        "'key: value'",
        "check this line and the one before",
    ),
    (
        "scanning a block scalar",
        "nothing may follow '|' or '>' on its line",
        "the text on the lines below, indented",
        "begin the text on the next line",
    ),
    (
        "document start",
        "this line does not belong to what stands above it",
        "one group of 'key: value' lines",
        "check the indentation of this line and of the one before",
    ),
    (
        "directive",
        "a '%' directive cannot be read",
        "a specification without directives",
        "put a text that begins with '%' in quotes",
    ),
)


def syntax_fault(error: yaml.YAMLError, text: str, file: str) -> Fault:
    """Return the fault that a PyYAML error stands for."""
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    if mark is None:
        return _character_fault(text, file)
    words = f"{getattr(error, 'context', '') or ''} {getattr(error, 'problem', '') or ''}"
    if "tab character" in words:
        return _tab_fault(file, mark.line, mark.column)
    if "cannot start any token" in words:
        return _token_fault(text, file, mark.line, mark.column)
    for sign, problem, expected, hint in _RULES:
        if sign in words:
            return Fault(file, mark.line + 1, mark.column + 1, problem, expected, hint)
    problem = f"this is not valid YAML: {getattr(error, 'problem', None) or 'the text cannot be read'}"
    return Fault(file, mark.line + 1, mark.column + 1, problem, "YAML", "check this line and the one before")


def _token_fault(text: str, file: str, line: int, column: int) -> Fault:
    lines = text.splitlines()
    written = lines[line] if line < len(lines) else ""
    sign = written[column] if column < len(written) else ""
    if sign == "\t" or "\t" in written[:column]:
        return _tab_fault(file, line, column)
    problem = f"a value cannot begin with '{sign}'"
    return Fault(file, line + 1, column + 1, problem, "a word, number or quoted text", f'put it in quotes: "{sign}…"')


def _tab_fault(file: str, line: int, column: int) -> Fault:
    hint = "replace the tab by two spaces for each level"
    return Fault(file, line + 1, column + 1, "a tab indents this line", "spaces", hint)


def _character_fault(text: str, file: str) -> Fault:
    for number, line in enumerate(text.split("\n"), start=1):
        for column, sign in enumerate(line, start=1):
            if not _printable(sign):
                problem = f"the control character U+{ord(sign):04X} is not allowed"
                return Fault(file, number, column, problem, "printable text", "remove the character")
    return Fault(file, 0, 0, "the text cannot be read as YAML", "YAML")


def _printable(sign: str) -> bool:
    """Return whether YAML 1.2 lets a character stand in a text (production c-printable)."""
    code = ord(sign)
    return (
        sign in "\t\r\x85"
        or 0x20 <= code <= 0x7E
        or 0xA0 <= code <= 0xD7FF
        or 0xE000 <= code <= 0xFFFD
        or code >= 0x10000
    )
