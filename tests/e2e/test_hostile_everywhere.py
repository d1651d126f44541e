"""Hostile words in every field that takes words, followed through every file and the terminal."""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
import xml.etree.ElementTree as ElementTree
from html.parser import HTMLParser
from pathlib import Path

import pypdf
import pytest
import yaml

from briefgen.document import plan_json, terminal_text
from briefgen.document.site import site_files
from briefgen.errors import SpecError, unseen
from briefgen.planning.assemble import plan_mission
from briefgen.spec import read_mission
from briefgen.spec.tree.check import check
from briefgen.spec.tree.load import load_bytes
from briefgen.spec.tree.shape import path_text
from tests.shared.demo_missions import SPECS

MISSION = "mudlark.yaml"
# Markup, a formula, a reference that must stay words, template and typesetter signs, quotes of every kind.
HOSTILE = """=1+1 <script>a()</script> {{fuel.ramp}} #a() $x$ "'&amp;"""
PRINTED = HOSTILE.replace("{{", "{").replace("}}", "}")
LEAST_FIELDS = 30
SCRIPT = "../assets/light.js"
MAY_LINK = re.compile(
    r"(?!javascript|data:text|//|[a-z]+://)[\w./#-]*|https://[^ ]*|mailto:[^ ]*|data:,", re.IGNORECASE
)


class Page(HTMLParser):
    """What a browser would find in a page."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.words.append(data)


def _strings(node: object, path: tuple[object, ...] = ()) -> list[tuple[object, ...]]:
    """Return the paths of all written values."""
    if isinstance(node, dict):
        return [found for key, value in node.items() for found in _strings(value, (*path, key))]
    if isinstance(node, list):
        return [found for index, value in enumerate(node) for found in _strings(value, (*path, index))]
    return [path]


def _put(tree: object, path: tuple[object, ...], value: str) -> str:
    for part in path[:-1]:
        tree = tree[part]  # type: ignore[index]
    before = tree[path[-1]]  # type: ignore[index]
    tree[path[-1]] = value  # type: ignore[index]
    return str(before)


class Hostile:
    """A demo mission whose every field of words is hostile, planned once."""

    def __init__(self, folder: Path) -> None:
        shutil.copytree(SPECS, folder)
        path = folder / MISSION
        tree = yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
        put = {}
        for place in _strings(tree):
            if place[0] in ("briefgen", "times", "rules", "places", "route"):
                continue
            before = _put(tree, place, HOSTILE)
            if check(load_bytes(_dumped(tree).encode(), path, MISSION), "mission").faults:
                _put(tree, place, before)
            else:
                put[path_text(place)] = (place, before)
        while refused := _refused(path, tree):  # fields that name something given elsewhere
            for place, before in [put.pop(name) for name in refused]:
                _put(tree, place, before)
        self.fields = len(put)
        self.plan = plan_mission(read_mission(path))
        self.files = {
            name.partition("/")[2] or name: content
            for name, content in site_files([self.plan], pdf=True, built_at=None).items()
        }


def _refused(path: Path, tree: dict[str, object]) -> set[str]:
    """Write the mission and return the paths of the fields that it cannot have so."""
    path.write_text(_dumped(tree), encoding="utf-8")
    try:
        read_mission(path)
    except SpecError as error:
        return {fault.problem.partition(": ")[0] for fault in error.faults}
    return set()


def _dumped(tree: dict[str, object]) -> str:
    """Return a tree of texts as a file: numbers and words plain as they were, the hostile text quoted."""

    def plain(dumper: yaml.SafeDumper, text: str) -> yaml.ScalarNode:
        style = '"' if text == HOSTILE or "\n" in text or re.search(r"[:{}\[\]#&*!|>'\"%@`,]", text) else ""
        return dumper.represent_scalar("tag:yaml.org,2002:str", text, style=style)

    class Dumper(yaml.SafeDumper):
        pass

    Dumper.add_representer(str, plain)
    return re.sub(
        r"^((?:.*[:-] )?)'([\w. -]+)'$",
        r"\1\2",
        yaml.dump(tree, Dumper=Dumper, sort_keys=False, width=10_000),
        flags=re.M,
    )


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Hostile:
    """The hostile mission and its files."""
    made = Hostile(tmp_path_factory.mktemp("hostile") / "specs")
    assert made.fields >= LEAST_FIELDS
    return made


def test_no_page_runs_or_fetches_what_somebody_wrote(hostile: Hostile) -> None:
    """Parsed as a browser does: one script, of ours; no handler, no style, no picture, no frame, no foreign address."""
    pages = {name: Page(content.decode()) for name, content in hostile.files.items() if name.endswith(".html")}

    assert len(pages) > 10
    for name, page in pages.items():
        scripts = [attributes for tag, attributes in page.tags if tag == "script"]
        ours = ["actuals.js", "light.js"] if name.endswith("timeline.html") else ["light.js"]
        assert [found.get("src", "").rpartition("assets/")[2] for found in scripts] == ours, name
        assert not {tag for tag, _ in page.tags} & {"img", "iframe", "object", "embed", "form", "input", "base"}, name
        for tag, attributes in page.tags:
            assert not [key for key in attributes if key.startswith("on") or key == "style"], (name, tag)
            for key in ("href", "src"):
                assert MAY_LINK.fullmatch(attributes.get(key) or ""), (name, attributes[key])
    shown = re.sub(r"\s", "", "".join(pages["index.html" if "index.html" in pages else min(pages)].words))
    assert re.sub(r"\s", "", PRINTED) in "".join(re.sub(r"\s", "", "".join(page.words)) for page in pages.values())
    assert shown


def test_every_page_says_what_may_run(hostile: Hostile) -> None:
    """The policy stands before anything it governs; nothing inline but the style whose fingerprint it names."""
    for name, content in hostile.files.items():
        if not name.endswith(".html"):
            continue
        page = Page(content.decode())
        rules = [
            a["content"] or "" for t, a in page.tags if t == "meta" and a.get("http-equiv") == "Content-Security-Policy"
        ]
        order = [
            tag for tag, attributes in page.tags if tag in ("link", "script", "style") or "http-equiv" in attributes
        ]

        assert len(rules) == 1, name
        assert order[0] == "meta"
        assert "default-src 'none'" in rules[0]
        assert "unsafe" not in rules[0]
        assert order.count("style") == rules[0].count("sha256-")


def test_paper_shows_the_words_as_they_were_written(hostile: Hostile) -> None:
    """The typesetter runs nothing of them."""
    text = "".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(hostile.files["cards-a5.pdf"])).pages)

    assert re.sub(r"\s", "", PRINTED) in re.sub(r"\s", "", text)


def test_files_for_other_programs_keep_their_formats(hostile: Hostile) -> None:
    """GPX and GeoJSON parse and give the words back; no cell of the log begins as a formula."""
    gpx = ElementTree.fromstring(hostile.files["route.gpx"])
    geojson = json.loads(hostile.files["route.geojson"])
    rows = list(csv.reader(io.StringIO(hostile.files["navlog.csv"].decode())))

    assert any(PRINTED in (element.text or "") or HOSTILE in (element.text or "") for element in gpx.iter())
    assert any(feature["properties"].get("name") in (PRINTED, HOSTILE) for feature in geojson["features"])
    assert not [cell for row in rows for cell in row if cell[:1] in ("=", "+", "-", "@", "\t", "\r")]
    assert json.loads(plan_json(hostile.plan))["briefgen"] == "plan/1"


def test_the_terminal_gets_nothing_that_steers_it(hostile: Hostile) -> None:
    """Every letter it gets is one that is seen, and the double brace came out as one."""
    text = terminal_text(hostile.plan)

    assert not unseen(text)
    assert "{{" not in text
    assert "{fuel.ramp}" in text
