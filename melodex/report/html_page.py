"""One self-contained HTML file: style, script and pictures inside, every text of data escaped."""

from functools import cache
from importlib.resources import files

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from melodex.report.evidence_words import chance_in_words, coincidence_in_words, score_in_digits
from melodex.report.words import NO_LEGAL_OPINION

_STYLES, _SCRIPT = ("music.css", "report.css"), "player.js"


def html_page(template: str, **content: object) -> str:
    """Fill a template of ``templates/`` with content.

    Parameters
    ----------
    template : str
        "plan.html"
    """
    return _environment().get_template(template).render(_always() | content)


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("melodex.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters.update(
        chance=chance_in_words, coincidence=coincidence_in_words, two_digits=score_in_digits
    )
    return environment


@cache
def _always() -> dict[str, object]:
    return {
        "style": _static(*_STYLES),
        "script": _static(_SCRIPT),
        "no_legal_opinion": NO_LEGAL_OPINION,
    }


def _static(*names: str) -> Markup:
    """Read our own files, which are trusted, for use inside style and script elements."""
    folder = files("melodex.report") / "static"
    texts = [(folder / name).read_text(encoding="utf-8") for name in names]
    return Markup("\n".join(texts))  # noqa: S704 - no user's text is in them
