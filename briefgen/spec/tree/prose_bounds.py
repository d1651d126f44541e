"""How much Markdown a text may hold: past these bounds its reader takes minutes or gives up, and no card could show it."""

from __future__ import annotations

from briefgen.errors import Fault
from briefgen.spec.tree.load import Document, KeyPath
from briefgen.spec.tree.shape import path_text

LONGEST = 50_000  # letters: some thirty cards
MOST_COLUMNS = 40
DEEPEST_INDENT = 40  # columns: ten levels of a list
DEEPEST_QUOTE = 10
MOST_MARKS = 400  # of one bracket; the search for its partner goes over all that follow, for each of them
MARKS = "[<"


def prose_faults(document: Document, path: KeyPath, text: str) -> list[Fault]:
    """Return what is too much in a text of Markdown, each with the line of the text it begins on."""
    shown = path_text(path)
    if len(text) > LONGEST:
        problem = f"{shown}: the text has {len(text):,} letters"
        return [document.fault(path, problem, f"at most {LONGEST:,}", "divide it over several texts")]
    found = []
    for sign in MARKS:
        if (count := text.count(sign)) > MOST_MARKS:
            problem = f"{shown}: '{sign}' stands in the text {count:,} times"
            found.append(document.fault(path, problem, f"at most {MOST_MARKS} times"))
    for number, line in enumerate(text.splitlines(), start=1):
        if excess := _excess(line):
            problem, expected = excess
            found.append(document.fault(path, f"{shown}: line {number} of the text {problem}", expected))
            break
    return found


def _excess(line: str) -> tuple[str, str] | None:
    """Return what is too much in one line, and what may be."""
    lead = line.expandtabs(4)
    indent = len(lead) - len(lead.lstrip(" "))
    if line.count("|") > MOST_COLUMNS + 1:
        return f"has {line.count('|')} column marks '|'", f"a table of at most {MOST_COLUMNS} columns"
    if indent > DEEPEST_INDENT and lead.strip():
        return f"is indented by {indent} columns", f"at most {DEEPEST_INDENT}, ten levels of a list"
    marks = lead.replace(" ", "")
    depth = len(marks) - len(marks.lstrip(">*+-"))
    if depth > DEEPEST_QUOTE and set(marks) - set("*+-_>"):
        return f"begins with {depth} marks of lists or quotations", f"at most {DEEPEST_QUOTE} levels"
    return None
