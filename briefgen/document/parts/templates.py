"""Where the layout is: the templates folder of the installed package, or of the checkout."""

from __future__ import annotations

import re
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any

from briefgen.errors import RenderError

if TYPE_CHECKING:
    from jinja2 import Environment

VARIABLE = re.compile(r"var\((--[a-z0-9-]+)\)")
DEFINITION = re.compile(r"(--[a-z0-9-]+):\s*([^;]+);")


@lru_cache(maxsize=1)
def folder() -> Path:
    """Return the folder of the templates."""
    package = Path(str(files("briefgen")))
    for candidate in (package / "templates", package.parent / "templates"):
        if (candidate / "page.html").is_file():
            return candidate
    raise RenderError("the templates are missing from this installation", hint="install briefgen again")


@lru_cache(maxsize=32)
def text(name: str) -> str:
    """Return a template file as it stands."""
    return (folder() / name).read_text(encoding="utf-8")


@lru_cache(maxsize=1)
def environment() -> Environment:
    """Return the template environment: markup escaped, an undefined name an error."""
    import jinja2

    return jinja2.Environment(
        loader=jinja2.FileSystemLoader(folder()),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )


def rendered(template: str, /, **names: Any) -> str:
    """Return a template filled in; a fault in it is a RenderError that names it."""
    import jinja2

    try:
        return environment().get_template(template).render(**names)
    except jinja2.TemplateError as fault:
        raise RenderError(
            f"{fault}", where=f"templates/{template}", hint="the template names something no page gives"
        ) from fault


@lru_cache(maxsize=1)
def chart_style_for_paper() -> str:
    """Return the style of drawings with its variables written out, for a renderer that knows no variables."""
    values = dict(DEFINITION.findall(text("style.css").split("}", 1)[0]))
    return VARIABLE.sub(lambda found: values[found[1]].strip(), text("chart.css"))
