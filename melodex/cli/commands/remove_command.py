"""The command `remove`."""

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.options import CatalogueOption, JsonOption, SongArgument
from melodex.cli.output import print_json
from melodex.cli.terminal import print_lines


def remove(
    song: SongArgument, catalogue: CatalogueOption = None, as_json: JsonOption = False
) -> None:
    """Remove one song from the catalogue; its file is not touched.

    Adding the song's file again brings it back.

    Examples
    --------
    melodex remove "Weir in Spate"
    """
    from melodex.finder.collection.remove_song import remove_song
    from melodex.index.store import open_catalogue

    with open_catalogue(catalogue_path(catalogue)) as opened:
        removed = remove_song(opened, song)
    if as_json:
        print_json({"song": removed.song, "title": removed.title})
    else:
        print_lines(f"Removed {removed.title} ({removed.song}).")
