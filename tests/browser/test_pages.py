"""Built pages in a real browser: silent, self-contained, accessible, and nothing clipped on screen or card."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page

from briefgen.document.cards.paper import page_count

DEMO = "lrf-0412-cedar-lantern"
PAGES = (
    "commander", "index", "timeline", "phases", "route", "power", "checklists", "fuel", "weather", "balance", "fields",
    "diversions", "engines_out", "communications", "review", "files", "numbers", "cards", "cards-two-up",
)  # fmt: skip
PHONE = 390
PIXEL_SLACK = 1.0  # browsers round box sizes to whole pixels

# Boxes of text that reach outside the card they stand on.
OUTSIDE_CARD = """() => [...document.querySelectorAll('.card')].flatMap(card => {
  const frame = card.getBoundingClientRect(), content = card.querySelector('.content');
  const found = content.scrollHeight > content.clientHeight + SLACK || card.scrollWidth > card.clientWidth + SLACK
    ? [card.getAttribute('aria-label') + ': content ' + content.scrollHeight + ' of ' + content.clientHeight] : [];
  for (const part of card.querySelectorAll('p, th, td, dt, dd, li, h2, svg text')) {
    const box = part.getBoundingClientRect();
    if (box.width && (box.left < frame.left - SLACK || box.right > frame.right + SLACK || box.bottom > frame.bottom + SLACK))
      found.push(card.getAttribute('aria-label') + ': ' + part.textContent.trim().slice(0, 40));
  }
  return found;
})""".replace("SLACK", str(PIXEL_SLACK))

# Cells whose text is wider than the cell.
CLIPPED = """() => [...document.querySelectorAll('.card th, .card td, .card p, .card dt, .card dd, .card span')]
  .filter(part => part.scrollWidth > part.clientWidth + SLACK && getComputedStyle(part).display !== 'inline')
  .map(part => part.textContent.trim().slice(0, 40))""".replace("SLACK", str(PIXEL_SLACK))

# Texts of one drawing that lie on each other.
OVERLAPS = """() => [...document.querySelectorAll('svg.chart')].flatMap(drawing => {
  const boxes = [...drawing.querySelectorAll('text')].map(text => [text.textContent, text.getBoundingClientRect()]);
  const found = [];
  for (let i = 0; i < boxes.length; i++) for (let j = i + 1; j < boxes.length; j++) {
    const [a, b] = [boxes[i][1], boxes[j][1]];
    const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left);
    const high = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
    if (wide > SLACK && high > 0.25 * Math.min(a.height, b.height)) found.push(boxes[i][0] + ' / ' + boxes[j][0]);
  }
  return found;
})""".replace("SLACK", str(PIXEL_SLACK))

# Thousands of rows of one make tell axe-core no more than two: of rows with the same elements, attributes and places of text
# the third and later ones are taken out. What tells one row from all others in kind (idents, links that lead somewhere) is
# held over every row by the tests of the documents.
ROWS_LIKE_OTHERS_OUT = """() => {
  const own = ['id', 'href', 'aria-label'], seen = new Map();
  const once = makes => makes.filter((make, i) => make !== makes[i - 1] && make !== makes[i - 2]);
  const make = part => part.tagName + [...part.attributes].map(a => own.includes(a.name) ? a.name : a.name + '=' + a.value).join()
    + '(' + once([...part.childNodes].map(n => n.nodeType === 1 ? make(n) : n.nodeType === 3 && n.data.trim() ? 't' : '')).join() + ')';
  for (const row of document.querySelectorAll('tbody tr')) {
    const kind = make(row), count = (seen.get(kind) || 0) + 1;
    seen.set(kind, count);
    if (count > 2) row.remove();
  }
}"""
ALL_BUT_CONTRAST = "{rules: {'color-contrast': {enabled: false}}, resultTypes: ['violations']}"
# Contrast follows from colour, size and weight of a text and the grounds it stands on: one text of each combination is measured.
CONTRAST_OF_EVERY_KIND_OF_TEXT = """() => {
  const grounds = new Map(), seen = new Map();
  const ground = part => {
    if (!part) return '';
    if (!grounds.has(part)) {
      const style = getComputedStyle(part);
      const own = [style.backgroundColor, style.backgroundImage, style.opacity, style.textShadow].join();
      grounds.set(part, ground(part.parentElement) + '/' + own);
    }
    return grounds.get(part);
  };
  for (const part of document.querySelectorAll('body *')) {
    if (![...part.childNodes].some(node => node.nodeType === 3 && node.data.trim())) continue;
    const style = getComputedStyle(part), kind = [style.color, style.fontSize, style.fontWeight, ground(part)].join('|');
    if (!seen.has(kind) && part.getClientRects().length) seen.set(kind, part);
  }
  return axe.run({include: [...seen.values()]},
                 {runOnly: {type: 'rule', values: ['color-contrast']}, resultTypes: ['violations']});
}"""


def opened(page: Page, site: Path, name: str) -> tuple[list[str], list[str]]:
    """Open a page and return what it said on the console and what it asked for beyond its own files."""
    said: list[str] = []
    asked: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda fault: said.append(str(fault)))
    page.on("requestfailed", lambda request: said.append(f"failed: {request.url}"))
    page.on("request", lambda request: asked.append(request.url))
    page.goto((site / DEMO / f"{name}.html").as_uri())
    page.evaluate("document.fonts.ready")
    return said, [url for url in asked if not url.startswith((site.as_uri(), "data:"))]


def not_accessible(page: Page, axe: str) -> list[tuple[str, str]]:
    """Return what axe-core finds on a page, the contrast of its texts by day and in red light, which changes colours alone."""
    page.evaluate(axe)
    page.evaluate(ROWS_LIKE_OTHERS_OUT)
    found = page.evaluate(f"axe.run(document, {ALL_BUT_CONTRAST})")["violations"]
    for light in ("", "red-light"):
        page.evaluate("name => { document.documentElement.className = name }", light)
        found += page.evaluate(CONTRAST_OF_EVERY_KIND_OF_TEXT)["violations"]
    return [(rule["id"], rule["nodes"][0]["html"][:120]) for rule in found]


def test_one_fault_in_one_row_of_thousands_is_found(page: Page, site: Path, axe: str) -> None:
    """What is left out before axe-core looks hides nothing: a row unlike the others stays."""
    opened(page, site, "numbers")
    page.evaluate("""() => {
      const cells = [...document.querySelectorAll('tbody tr')].map(row => row.cells[3]);
      cells.at(-7).style.color = '#e8e8e8';
      cells.at(-107).innerHTML = '<a href="#x"></a>';
      cells.at(-207).innerHTML = '<img src="data:,">';
    }""")

    assert {"color-contrast", "link-name", "image-alt"} == {rule for rule, _ in not_accessible(page, axe)}


@pytest.mark.parametrize("name", PAGES)
class TestEveryPage:
    def test_it_is_silent_and_asks_nobody(self, name: str, page: Page, site: Path) -> None:
        """No console message, no failed request, no request beyond the site's own files."""
        assert opened(page, site, name) == ([], [])

    def test_it_is_accessible(self, name: str, page: Page, site: Path, axe: str) -> None:
        """axe-core finds nothing, by day and in red light."""
        opened(page, site, name)

        assert not_accessible(page, axe) == []

    def test_labels_of_drawings_keep_off_each_other(self, name: str, page: Page, site: Path) -> None:
        """Measured with the real letters, not the estimate the drawing was made with."""
        opened(page, site, name)

        assert page.evaluate(OVERLAPS) == []


@pytest.mark.parametrize("name", [name for name in PAGES if not name.startswith("cards")])
def test_a_page_does_not_scroll_sideways(name: str, page: Page, site: Path) -> None:
    """Wide tables scroll in their own frame; the page fits a tablet and a phone. Cards have the size of their paper instead."""
    opened(page, site, name)
    for width in (1024,) if name == "numbers" else (1024, PHONE):
        page.set_viewport_size({"width": width, "height": 768})

        assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("name", ["commander", "timeline"])
def test_a_page_laid_out_anew_on_a_phone_is_accessible_there(name: str, page: Page, site: Path, axe: str) -> None:
    """What is folded or stood otherwise on a narrow screen, with the list of pages shut."""
    page.set_viewport_size({"width": PHONE, "height": 844})
    opened(page, site, name)

    assert page.locator("nav ol").is_hidden()
    assert not_accessible(page, axe) == []


def test_the_commanders_page_prints_on_one_sheet(page: Page, site: Path, tmp_path: Path) -> None:
    """Of every demo mission, one that fails in many places too."""
    found = {}
    for folder in (path.parent for path in site.glob("*/commander.html")):
        page.goto((folder / "commander.html").as_uri())
        page.pdf(path=tmp_path / "page.pdf", prefer_css_page_size=True)
        found[folder.name] = page_count((tmp_path / "page.pdf").read_bytes())

    assert len(found) > 3
    assert set(found.values()) == {1}


def test_actual_times_shift_what_follows_and_stay_in_the_browser(page: Page, site: Path) -> None:
    """Typed four minutes late, the next row is four minutes later until the next actual time; kept over a reload, and cleared."""
    opened(page, site, "timeline")
    plan = page.locator("table.times tbody th a").all_inner_texts()
    late, next_one, on_time = 4, 5, 6
    hours, minutes = map(int, plan[late].split(":"))
    fields, moved = page.locator(".times input"), page.locator(".times .moved")
    fields.nth(late).fill(f"{hours:02d}:{minutes + 4:02d}")
    fields.nth(on_time).fill(plan[on_time])
    hours, minutes = map(int, plan[next_one].split(":"))
    wanted = f"→ {(hours + (minutes + 4) // 60) % 24:02d}:{(minutes + 4) % 60:02d}"

    assert moved.all_inner_texts() == ["", *[""] * late, wanted, *[""] * (len(plan) - late - 2)]
    page.reload()
    assert moved.nth(next_one).inner_text() == wanted
    fields.nth(late).fill("soon")
    assert fields.nth(late).get_attribute("aria-invalid") == "true"
    page.get_by_role("button", name="Clear actual times").click()
    assert set(moved.all_inner_texts()) == {""}


def test_the_timeline_finds_the_present_minute(page: Page, site: Path) -> None:
    """With the clock at a minute of the plan its row is marked; on another day the page says so."""
    page.clock.set_fixed_time("2027-02-17T16:10:00Z")
    opened(page, site, "timeline")
    page.get_by_role("button", name="Jump to now").click()
    marked = page.locator("tr[aria-current] th a").inner_text()

    assert marked == "16:09"
    page.clock.set_fixed_time("2026-12-01T16:10:00Z")
    page.get_by_role("button", name="Jump to now").click()
    assert "before the times of this plan" in page.locator(".told").inner_text()


@pytest.mark.parametrize("folder", [DEMO, "lrf-0419-mudlark"])
def test_nothing_on_a_card_is_clipped(folder: str, page: Page, site: Path) -> None:
    """Every text lies inside its card, every card inside its page."""
    page.goto((site / folder / "cards.html").as_uri())
    page.evaluate("document.fonts.ready")

    assert page.evaluate(OUTSIDE_CARD) == []
    assert page.evaluate(CLIPPED) == []


@pytest.mark.parametrize(
    ("name", "width_mm", "height_mm", "across"), [("cards", 148, 210, 1), ("cards-two-up", 297, 210, 2)]
)
def test_the_print_page_prints_one_card_a_page(
    name: str, width_mm: float, height_mm: float, across: int, page: Page, site: Path, tmp_path: Path
) -> None:
    """Printed from the browser: as many A5 pages as cards, or half as many A4 sheets (sizes of ISO 216)."""
    import pypdf

    opened(page, site, name)
    cards = page.locator(".card").count()
    target = tmp_path / "cards.pdf"
    page.pdf(path=target, prefer_css_page_size=True, print_background=True)
    pages = pypdf.PdfReader(target).pages
    sizes = {(round(float(p.mediabox.width) * 25.4 / 72), round(float(p.mediabox.height) * 25.4 / 72)) for p in pages}

    assert len(pages) == -(-cards // across)
    assert sizes == {(width_mm, height_mm)}


def test_the_packaged_typeface_is_used(page: Page, site: Path) -> None:
    """The web pages load the same font files as the cards."""
    opened(page, site, "index")

    assert page.evaluate("[...document.fonts].filter(face => face.status === 'loaded').map(face => face.family)")
    assert page.evaluate("document.fonts.check('700 16px B612')")


def test_pages_work_without_a_script(context, site: Path) -> None:  # type: ignore[no-untyped-def]
    """With JavaScript off every figure is still there."""
    browser = context.browser or context
    if not hasattr(browser, "new_context"):
        page = context.new_page()
        page.route("**/*.js", lambda route: route.abort())
    else:
        page = browser.new_context(java_script_enabled=False).new_page()
    page.goto((site / DEMO / "index.html").as_uri())

    assert page.locator("dl.figures dd").count() >= 8
    page.close()
