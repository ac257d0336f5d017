"""How heavy and how fast are the pages of `serve`, over some thousands of bundled tunes?

Each page is asked for in turn with a file of a few kilobytes that the same server sends as it is;
the ratio of the two tells what a page costs beyond the way there and back.

Run: python -m tests.benchmarks.page_weights
"""

import re
import statistics
import time

from melodex.finder.nearest_songs import nearest_songs
from tests.benchmarks.measuring import REPEATS, bundled_catalogue
from tests.web.serving import Visitor, served

YARDSTICK = "/static/site.css"
PAGES = {
    "first page": "/",
    "songs with a word": "/?words=waltz&sort=notes",
    "a song": "/songs/{song}",
    "a long song": "/songs/{longest}",
    "nearest songs": "/songs/{song}/near",
    "answers, 6 notes": "/find?form=notes&text=D4+E4+G4+B4+A4+G4",
    "answers, 12 notes": "/find?form=notes&text=D4+E4+G4+B4+A4+G4+E4+D4+G4+A4+B4+G4",
    "answers, 2 measures": "/find?song={song}&measure=1&measure=2",
    "two songs": "/compare?a={song}&b={near}",
}
_LOADED = re.compile(r'(?:src|href)="(/(?:static|music)/[^"]*)"')


def seconds_of(visitor: Visitor, path: str) -> float:
    """Time one request."""
    begun = time.perf_counter()
    visitor.get(path).raise_for_status()
    return time.perf_counter() - begun


def weight_of(visitor: Visitor, path: str) -> int:
    """Count the bytes of a page and of every file that it loads."""
    page = visitor.get(path)
    files = set(_LOADED.findall(page.text))
    return len(page.content) + sum(len(visitor.get(file).content) for file in files)


def main() -> None:
    """Print each page's weight, median time, and median ratio to the yardstick, pair by pair."""
    with bundled_catalogue() as catalogue:
        entries = sorted(catalogue.entries(), key=lambda entry: entry.notes)
        song = entries[len(entries) // 2].song  # the median by its notes
        names = {
            "song": song,
            "longest": entries[-1].song,
            "near": nearest_songs(catalogue, song, limit=1)[0].song,
        }
        path_of_catalogue = catalogue.path
    with served(path_of_catalogue) as address:
        visitor = Visitor(address)
        for name, template in PAGES.items():
            path = template.format(**names)
            weight = weight_of(visitor, path)  # loads what later requests find loaded
            pairs = [
                (seconds_of(visitor, path), seconds_of(visitor, YARDSTICK)) for _ in range(REPEATS)
            ]
            own = statistics.median(seconds for seconds, _ in pairs)
            ratio = statistics.median(seconds / yardstick for seconds, yardstick in pairs)
            print(
                f"{name:20} {weight / 1e3:6.0f} KB {1e3 * own:6.0f} ms, {ratio:6.1f} times a file"
            )
        visitor.close()


if __name__ == "__main__":
    main()
