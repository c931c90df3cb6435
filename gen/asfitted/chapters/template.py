"""The templates of site_src/pages: every value that comes out of one is escaped unless it was made here."""

from functools import cache
from typing import Any

import jinja2
from markupsafe import Markup

from asfitted.chapters.editions import holds
from asfitted.escape import escape
from asfitted.numbers import figures, quantity
from asfitted.resources import site_src


def _finish(value: Any) -> Any:
    """Escape whatever a template puts out, for Markdown and HTML at once; what is undefined is a fault of ours."""
    if isinstance(value, jinja2.Undefined):
        return value
    if value is None:
        return Markup("")
    return value if hasattr(value, "__html__") else Markup(escape(str(value)))  # noqa: S704  (escaped one call before)


@cache
def environment() -> jinja2.Environment:
    """Return the one environment; autoescape is on so that what macros return counts as made here."""
    env = jinja2.Environment(
        loader=jinja2.FileSystemLoader(site_src() / "pages"),
        autoescape=True,
        finalize=_finish,
        undefined=jinja2.StrictUndefined,
        # `{#` opens an explicit heading id in Markdown
        comment_start_string="{##",
        comment_end_string="##}",
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    env.filters["q"] = quantity
    env.filters["figures"] = figures
    env.globals["holds"] = holds
    return env


def render(name: str, context: dict[str, Any]) -> str:
    """Return the Markdown of the template `name` for a context."""
    return environment().get_template(f"{name}.md.jinja").render(context)
