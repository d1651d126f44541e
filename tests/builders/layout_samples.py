"""Write the two sample pages anew; run it when a change is meant to change how pages or cards are laid out.

    python -m tests.builders.layout_samples

They show the invented plan, whose figures are typed by hand: a change of numbers leaves them as they are, and what differs
is layout.
"""

from __future__ import annotations

from pathlib import Path

from briefgen.document.site import site_files
from tests.shared.invented_plan import invented_plan

FOLDER = Path(__file__).parents[1] / "golden" / "layout"
SAMPLES = ("fuel.html", "cards.html")  # a page with table and drawing; cards of every position


def sample_pages() -> dict[str, str]:
    """Return the text of each sample page by its name."""
    files = site_files([invented_plan()], pdf=False, built_at=None)
    return {name: content.decode() for name in SAMPLES for path, content in files.items() if path.endswith(f"/{name}")}


if __name__ == "__main__":
    FOLDER.mkdir(parents=True, exist_ok=True)
    for name, text in sample_pages().items():
        (FOLDER / name).write_text(text, encoding="utf-8")
