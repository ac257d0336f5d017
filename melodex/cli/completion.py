"""Complete songs, collections, tags and kept licks in a shell, from the catalogue."""

import re
from collections.abc import Callable, Iterable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.errors import MelodexError

if TYPE_CHECKING:
    from melodex.index.store import Catalogue

# A shell evaluates completions, and titles come from anywhere, so only words without special
# characters are offered. Every song id is such a word.
_PLAIN_WORD = re.compile(r"[\w.+-]+")


def complete_song(context: typer.Context, incomplete: str) -> list[str]:
    """Return the ids of songs that begin with what is typed."""
    return _completed(context, incomplete, lambda opened: opened.song_ids())


def complete_collection(context: typer.Context, incomplete: str) -> list[str]:
    """Return the collections that begin with what is typed."""
    return _completed(
        context, incomplete, lambda opened: (entry.collection for entry in opened.entries())
    )


def complete_tag(context: typer.Context, incomplete: str) -> list[str]:
    """Return the tags that begin with what is typed."""
    return _completed(context, incomplete, _tags)


def complete_technique(context: typer.Context, incomplete: str) -> list[str]:
    """Return the techniques that begin with what is typed, a hyphen for each space."""
    return _completed(context, incomplete, _techniques)


def complete_kept_lick(context: typer.Context, incomplete: str) -> list[str]:
    """Return the names of kept licks that begin with what is typed."""
    return _completed(context, incomplete, _kept_names)


def complete_set(context: typer.Context, incomplete: str) -> list[str]:
    """Return the names of saved sets that begin with what is typed."""
    return _completed(context, incomplete, _sets)


def _sets(catalogue: "Catalogue") -> Iterable[str]:
    from melodex.index.work_table import saved_works
    from melodex.model.saved_work import WorkKind

    return (work.name for work in saved_works(catalogue) if work.kind is WorkKind.SET)


def _tags(catalogue: "Catalogue") -> Iterable[str]:
    return (tag for entry in catalogue.entries() for tag in entry.tags)


def _techniques(catalogue: "Catalogue") -> Iterable[str]:
    from melodex.finder.collection.estimates_of_songs import techniques_in

    return (technique.replace(" ", "-") for technique in techniques_in(catalogue))


def _kept_names(catalogue: "Catalogue") -> Iterable[str]:
    from melodex.index.kept_licks import kept_licks

    return (name for name, _ in kept_licks(catalogue))


def _completed(
    context: typer.Context, incomplete: str, names: Callable[["Catalogue"], Iterable[str]]
) -> list[str]:
    """Return the names that begin with what is typed; none where there is no catalogue."""
    from melodex.index.store import open_catalogue

    given: Path | None = context.params.get("catalogue")
    found: set[str] = set()
    with suppress(MelodexError), open_catalogue(catalogue_path(given)) as opened:
        found.update(names(opened))
    return sorted(
        name for name in found if name.startswith(incomplete) and _PLAIN_WORD.fullmatch(name)
    )
