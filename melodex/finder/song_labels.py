"""Label songs for people: by title, and by id as well where a title is not enough."""

from collections import Counter

from melodex.index.store import Catalogue


def song_labels(catalogue: Catalogue) -> dict[str, str]:
    """Return each song's label, by id: its title, followed by its id if another has that title."""
    titles = catalogue.titles()
    counts = Counter(title.casefold() for _, title in titles)
    return {
        song: title if counts[title.casefold()] == 1 else f"{title} ({song})".lstrip()
        for song, title in titles
    }
