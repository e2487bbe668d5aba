"""The report as one page of HTML that needs nothing else: style and drawings are in it, it runs no script."""

from __future__ import annotations

from base64 import b64encode
from functools import cache
from hashlib import sha256
from importlib import resources

from jinja2 import Environment, FunctionLoader, StrictUndefined, Template
from markupsafe import Markup

from service.report.model import Chart, Report
from service.sheets.letters import harmless
from service.sheets.paper import Page
from service.sheets.svg import picture, svg

MEDIA_TYPE = "text/html"


def page(report: Report) -> str:
    """The whole page."""
    return _template().render(report=report, style=Markup(style()), policy=policy())


@cache
def style() -> str:
    """The page's only style; ours, so it goes in as it is."""
    return "\n" + _text("report.css")


@cache
def policy() -> str:
    """Content security policy: its own style and nothing else."""
    digest = b64encode(sha256(style().encode()).digest()).decode()
    return f"default-src 'none'; base-uri 'none'; form-action 'none'; style-src 'sha256-{digest}'"


@cache
def _template() -> Template:
    environment = Environment(loader=FunctionLoader(_text), autoescape=True, undefined=StrictUndefined)
    environment.filters["kind"] = lambda block: type(block).__name__
    environment.filters["seen"] = harmless
    environment.filters["drawing"] = _drawing
    environment.filters["chart"] = _chart
    return environment.get_template("report.html")


def _drawing(made: Page) -> Markup:
    """The sheet as it is: our writer has escaped what is in it."""
    return Markup(svg(made))


def _chart(made: Chart) -> Markup:
    """Drawn by the same writer."""
    return Markup(picture(made.inks, made.wide, made.high, harmless(made.about)))


def _text(name: str) -> str:
    return resources.files("service.report").joinpath("templates", name).read_text(encoding="utf-8")
