"""The options that choose songs, declared once for every command that takes them."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

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


@dataclass(frozen=True, slots=True)
class SongChoice:
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
