"""One self-contained HTML file: style, script and pictures inside, every text of data escaped."""

from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from melodex.engraving.sound import PLAYER_SCRIPTS
from melodex.report.evidence_words import (
    NO_LEGAL_OPINION,
    chance_in_words,
    coincidence_in_words,
    score_in_digits,
)

_ENGRAVING, _REPORT = (files(f"melodex.{folder}") / "static" for folder in ("engraving", "report"))


def html_page(template: str, **content: object) -> str:
    """Fill a template of ``templates/`` with content.

    Parameters
    ----------
    template : str
        "printed_plan.html"
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
        "style": _static(_ENGRAVING / "music.css", _REPORT / "report.css"),
        "script": _static(*(_ENGRAVING / name for name in PLAYER_SCRIPTS)),
        "no_legal_opinion": NO_LEGAL_OPINION,
    }


def _static(*own_files: Traversable) -> Markup:
    """Read our own files, which are trusted, for use inside style and script elements."""
    texts = [file.read_text(encoding="utf-8") for file in own_files]
    return Markup("\n".join(texts))  # noqa: S704 - no user's text is in them
