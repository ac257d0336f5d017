"""The options that choose songs, declared once for every command that takes them."""

from collections.abc import Callable
from functools import wraps
from inspect import Parameter, Signature, signature
from typing import TYPE_CHECKING, NamedTuple

from melodex.cli.options import (
    CollectionOption,
    EstimatedOption,
    LevelOption,
    MetreOption,
    SetOption,
    TagOption,
    UsesOption,
    WhereOption,
)

if TYPE_CHECKING:
    from melodex.model.catalogue import SongFilter


class SongChoice(NamedTuple):
    """The options that choose songs, as they were given."""

    collection: CollectionOption = None
    tag: TagOption = None
    metre: MetreOption = None
    level: LevelOption = None
    uses: UsesOption = None
    estimated: EstimatedOption = False
    in_set: SetOption = None
    where: WhereOption = None

    def filter(self) -> "SongFilter":
        """Return the filter that the options describe.

        Raises
        ------
        QueryError
            If one of them is not valid.
        """
        from melodex.finder.collection.filters import facts_in, song_filter

        return song_filter(
            collections=self.collection,
            tags=self.tag,
            metres=self.metre,
            level=self.level,
            uses=self.uses,
            estimated=self.estimated,
            sets=self.in_set,
            facts=facts_in(self.where or ()),
        )


EVERY_SONG_CHOSEN = SongChoice()


def choosing_songs(command: Callable[..., None]) -> Callable[..., None]:
    """Replace a command's parameter ``choice`` by the options of a ``SongChoice``.

    Typer reads a command's options from its signature, which therefore lists them one by one.
    """
    options = list(signature(SongChoice).parameters.values())
    parameters: list[Parameter] = []
    for parameter in signature(command).parameters.values():
        parameters += options if parameter.name == "choice" else [parameter]

    @wraps(command)
    def run(**given: object) -> None:
        choice = SongChoice._make(map(given.pop, SongChoice._fields))
        command(**given, choice=choice)

    run.__annotations__ = {each.name: each.annotation for each in parameters}
    run.__signature__ = Signature(parameters)  # type: ignore[attr-defined]
    return run
