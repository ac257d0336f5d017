"""Write a self-contained HTML file with style, script and pictures; all data is escaped."""

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
from melodex.report.typesetting import typeset

_ENGRAVING, _REPORT = (files(f"melodex.{folder}") / "static" for folder in ("engraving", "report"))


def html_page(template: str, **content: object) -> str:
    """Return a template of ``templates/`` filled with content.

    Parameters
    ----------
    template : str
        File name of the template, such as "printed_plan.html".
    """
    text = _environment().get_template(template).render(_shared_content() | content)
    return typeset(text)


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
def _shared_content() -> dict[str, object]:
    return {
        "style": _static(_ENGRAVING / "music.css", _REPORT / "report.css"),
        "script": _static(*(_ENGRAVING / name for name in PLAYER_SCRIPTS)),
        "no_legal_opinion": NO_LEGAL_OPINION,
    }


def _static(*own_files: Traversable) -> Markup:
    """Return our own files, which are trusted, for use inside style and script elements."""
    texts = [file.read_text(encoding="utf-8") for file in own_files]
    return Markup("\n".join(texts))  # noqa: S704 - contains no user data
