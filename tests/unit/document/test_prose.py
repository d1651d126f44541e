"""The author's words: what is let through, what is not, and the same words on paper."""

from __future__ import annotations

import re

import pytest

from briefgen.document.parts.prose import prose, sanitised


@pytest.mark.parametrize(
    "text",
    [
        "<script>alert(1)</script>",
        "<img src=x onerror=alert(1)>",
        "![picture](https://elsewhere.example/x.png)",
        "[go](javascript:alert(1))",
        "<a href='JaVaScRiPt:alert(1)'>go</a>",
        "<a href='//elsewhere.example/x'><img src='//elsewhere.example/x'></a>",
        "<iframe src='https://elsewhere.example'></iframe>",
        "<p style='position:fixed' onclick='alert(1)'>x</p>",
        "<svg onload=alert(1)></svg>",
        "<form action='https://elsewhere.example'><input></form>",
        "<meta http-equiv=refresh content=0>",
    ],
)
def test_nothing_that_acts_or_fetches_gets_through(text: str) -> None:
    """Scripts, pictures, styles, forms, frames and addresses of other kinds are taken out."""
    made = sanitised(text).lower()

    assert not re.search(r"<(script|img|iframe|svg|form|input|meta|style)|on\w+=|javascript:|style=|src=", made)


def test_the_usual_marks_survive() -> None:
    """Lists, tables, emphasis and links of the web stay; a heading goes below those of the page."""
    made = sanitised("# Head\n\n* **one**\n\n| a | b |\n|--:|---|\n| 1 | 2 |\n\n[x](https://example.org)")

    assert all(
        part in made
        for part in ("<h3>Head</h3>", "<li><strong>one</strong></li>", '<td align="right">1</td>', "https://")
    )


def test_paper_gets_the_same_words_in_the_same_order() -> None:
    """Paragraphs, list items with their numbers or bullets, and styles."""
    block = prose("Title", "Plain *soft* **strong**.\n\n* a\n* b\n\n3. three\n4. four")
    said = [(p.role, p.bullet, "".join(run.text for run in p.runs)) for p in block.paragraphs]

    assert said == [
        ("p", "", "Plain soft strong."), ("li", "•", "a"), ("li", "•", "b"), ("li", "3.", "three"), ("li", "4.", "four"),
    ]  # fmt: skip
    assert [run.style for run in block.paragraphs[0].runs] == ["", "emphasis", "", "strong", ""]
