"""Templates: an undefined name is an error; the colours of screen and paper can be read."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest

from briefgen.document.parts import templates
from briefgen.errors import RenderError

PUBLISHED = Path(__file__).parents[2] / "published" / "contrast.csv"
COLOUR = re.compile(r"--(?:hair|red): var\(--(?:soft|fail)\)|--[a-z]+: #[0-9a-f]{6}")  # a colour, or the name of one
TEXT_AA, TEXT_AAA, GRAPHICS = 4.5, 7.0, 3.0  # WCAG 2.2, 1.4.3, 1.4.6, 1.4.11


def luminance(colour: str) -> float:
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def published_rows() -> list[dict[str, str]]:
    with PUBLISHED.open(encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("# ")))  # a colour begins with #


@pytest.mark.parametrize("row", published_rows(), ids=lambda row: f"{row['ink']} on {row['paper']}")
def test_the_contrast_used_here_is_the_published_one(row: dict[str, str]) -> None:
    """The formula of WCAG 2.2, to half of the last printed digit."""
    assert pytest.approx(float(row["ratio"]), abs=0.00005) == contrast(row["ink"], row["paper"])


def palettes() -> dict[str, dict[str, str]]:
    blocks = re.findall(r"(:root[^{]*)\{([^}]*)\}", templates.text("style.css"))
    return {name.strip(): dict(templates.DEFINITION.findall(body)) for name, body in blocks}


@pytest.mark.parametrize("theme", [":root", ":root.red-light"])
def test_text_can_be_read_in_both_lights(theme: str) -> None:
    """Text stands out from every ground it is set on, by day and in red light."""
    colours = palettes()[theme]
    grounds = [colours[name] for name in ("--paper", "--panel", "--tint", "--white")]
    least = {"--ink": TEXT_AA if "red" in theme else TEXT_AAA, "--soft": TEXT_AA, "--accent": TEXT_AA, "--fail": TEXT_AA,
             "--warn": TEXT_AA, "--good": TEXT_AA}  # fmt: skip
    poor = [(name, ground, round(contrast(colours[name], ground), 2))
            for name, ratio in least.items() for ground in grounds if contrast(colours[name], ground) < ratio]  # fmt: skip

    assert poor == []


def test_both_lights_define_the_same_colours() -> None:
    """A colour missing from the red light would shine white."""
    found = palettes()

    assert set(found[":root"]) == set(found[":root.red-light"])


def test_red_light_changes_colours_alone() -> None:
    """So that what is held of a page by day (names, order, sizes) holds in red light, and contrast is all to look at twice."""
    styles = "\n".join(path.read_text(encoding="utf-8") for path in templates.folder().glob("*.css"))
    rules = re.findall(r"([^{}]*red-light[^{}]*)\{([^}]*)\}", styles)
    others = [
        part for _, body in rules for part in body.split(";") if part.strip() and not COLOUR.fullmatch(part.strip())
    ]

    assert rules
    assert others == []


def test_charts_on_paper_have_no_variable_left() -> None:
    """The typesetter knows no variables; every colour is written out."""
    style = templates.chart_style_for_paper()

    assert "var(" not in style
    assert "#191b1f" in style


def test_an_undefined_name_is_an_error_that_names_the_template() -> None:
    """A template that asks for what no page gives stops the build."""
    with pytest.raises(RenderError) as caught:
        templates.rendered("index.html", root="")

    assert caught.value.text() == (
        "templates/index.html: 'missions' is undefined\n  hint: the template names something no page gives"
    )


def test_templates_hold_no_arithmetic() -> None:
    """Layout only: no sum, product or rounding of a figure in any page template."""
    for path in templates.folder().glob("*.html"):
        for expression in re.findall(r"\{\{(.*?)\}\}", path.read_text(encoding="utf-8")):
            assert not re.search(r"\bround\b|\s[-+*/]\s|\|\s*(int|float|sum)\b", expression), path
