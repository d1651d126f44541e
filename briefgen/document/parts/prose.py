"""The author's Markdown: rendered, sanitised, and for paper taken apart into paragraphs."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import lru_cache
from html.parser import HTMLParser

import markdown
import nh3

from briefgen.document.parts.blocks import Inline, Paragraph, ProseBlock
from briefgen.errors import RenderError

TAGS = {
    "p", "br", "strong", "em", "code", "pre", "ul", "ol", "li", "blockquote", "h3", "h4", "h5", "h6", "hr", "a", "abbr",
    "table", "thead", "tbody", "tr", "th", "td", "dl", "dt", "dd", "sup", "sub",
}  # fmt: skip
ATTRIBUTES = {"a": {"href"}, "th": {"align"}, "td": {"align"}, "abbr": {"title"}, "ol": {"start"}}
# An author's heading stands under the heading of the page or card it appears on.
DEMOTED = {"h1": "h3", "h2": "h4", "h3": "h5", "h4": "h6", "h5": "h6"}
STYLES = {"strong": "strong", "b": "strong", "em": "emphasis", "i": "emphasis", "code": "code"}
ENDS_PARAGRAPH = {
    "p", "li", "h3", "h4", "h5", "h6", "td", "th", "dt", "dd", "pre", "blockquote", "ul", "ol", "tr", "hr",
}  # fmt: skip
DEEPEST_INDENT = 3  # levels of a list that paper sets in; deeper ones stand below the third
LONGEST_PARAGRAPH = 900  # letters that stand on paper as one paragraph; a longer one goes on as the next
BEGINNING = 40  # letters of a text by which its author finds it
START = re.compile(r"[0-9]{1,6}", re.ASCII)  # where a numbered list may begin


@lru_cache(maxsize=1)
def _markdown() -> markdown.Markdown:
    return markdown.Markdown(
        extensions=["tables", "sane_lists", "def_list", "abbr"],
        extension_configs={"tables": {"use_align_attribute": True}},
    )


def sanitised(text: str) -> str:
    """Return the author's Markdown as markup that can hold no script, style, picture or address of another kind.

    Raises:
        RenderError: The text is nested too deep for its reader to follow.
    """
    converter = _markdown()
    converter.reset()
    try:
        raw = converter.convert(text)
    except (
        RecursionError,
        ValueError,
        AssertionError,
        IndexError,
        KeyError,
    ) as fault:  # what its readers are known to raise
        raise RenderError(
            f"the text beginning '{text.strip()[:BEGINNING]}' cannot be read as Markdown",
            expected="lists and quotations nested at most ten deep", hint="write it plainer",
        ) from fault  # fmt: skip
    for level in ("h5", "h4", "h3", "h2", "h1"):
        raw = raw.replace(f"<{level}>", f"<{DEMOTED[level]}>").replace(f"</{level}>", f"</{DEMOTED[level]}>")
    return nh3.clean(raw, tags=TAGS, attributes=ATTRIBUTES, url_schemes={"https", "mailto"}, link_rel="noreferrer")


def prose(title: str, text: str) -> ProseBlock:
    """Return the author's words for a page and for a card."""
    html = sanitised(text)
    walker = _Walker()
    walker.feed(html)
    walker.close()
    return ProseBlock(title, html, tuple(walker.paragraphs))


def _parted(runs: Sequence[Inline]) -> Iterator[tuple[Inline, ...]]:
    """Yield the runs of a paragraph in parts that a card has room for, each begun at a word."""
    part: list[Inline] = []
    room = LONGEST_PARAGRAPH
    for run in runs:
        text = run.text
        while len(text) > room and (space := text.find(" ", room)) >= 0:
            part.append(Inline(text[:space], run.style))
            yield tuple(part)
            part, room, text = [], LONGEST_PARAGRAPH, text[space + 1 :]
        part.append(Inline(text, run.style))
        room = max(0, room - len(text))
    yield tuple(part)


class _Walker(HTMLParser):
    """Takes sanitised markup apart into paragraphs of styled runs; paper shows the same words in the same order."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.paragraphs: list[Paragraph] = []
        self._runs: list[Inline] = []
        self._styles: list[str] = []
        self._lists: list[int] = []  # 0 for a dash, else the next number
        self._role, self._bullet = "p", ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in STYLES:
            self._styles.append(STYLES[tag])
            return
        if tag in ENDS_PARAGRAPH:
            self._end()
        if tag in ("ul", "ol"):
            start = dict(attrs).get("start") or ""
            self._lists.append(0 if tag == "ul" else int(start) if START.fullmatch(start) else 1)
        elif tag == "li":
            number = self._lists[-1] if self._lists else 0
            self._role, self._bullet = "li", f"{number}." if number else "•"
            if number:
                self._lists[-1] += 1
        elif tag in ("h3", "h4", "h5", "h6", "dt", "th"):
            self._role = "h"
        elif tag == "br":
            self._runs.append(Inline("\n"))

    def handle_endtag(self, tag: str) -> None:
        if tag in STYLES and self._styles:
            self._styles.pop()
        elif tag in ENDS_PARAGRAPH:
            self._end()
            if tag in ("ul", "ol") and self._lists:
                self._lists.pop()

    def handle_data(self, data: str) -> None:
        text = " ".join(data.split()) if data.strip() else ""
        lead = " " if data[:1].isspace() else ""
        tail = " " if data[-1:].isspace() and text else ""
        if text or self._runs:
            self._runs.append(Inline(f"{lead}{text}{tail}", self._styles[-1] if self._styles else ""))

    def close(self) -> None:
        super().close()
        self._end()

    def _end(self) -> None:
        if any(run.text.strip() for run in self._runs):
            runs = [run for run in self._runs if run.text]
            runs[0] = Inline(runs[0].text.lstrip(), runs[0].style)
            runs[-1] = Inline(runs[-1].text.rstrip(), runs[-1].style)
            depth = min(max(0, len(self._lists) - 1), DEEPEST_INDENT)
            for number, part in enumerate(_parted(runs)):
                self.paragraphs.append(Paragraph(part, self._role, "" if number else self._bullet, depth))
            self._role, self._bullet = "p", ""
        self._runs = []
