"""Verovio, used by many threads."""

import subprocess
import sys

# In a separate process, since the toolkit is created once; as many threads as a server has
# visitors.
MANY_AT_ONCE = """
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
import verovio  # by another thread than those that engrave
from melodex.parsing.lick_text import lick_from_names
from melodex.engraving.engrave_song import engrave
from melodex.report.song_of_lick import song_of_lick

song, together = song_of_lick(lick_from_names("D4 E4 G4 B4")), Barrier(16)

def engraved(number):
    together.wait()
    return engrave(song).svg

with ThreadPoolExecutor(16) as threads:
    print(len(set(threads.map(engraved, range(16)))))
"""


def test_the_first_pictures_of_many_threads_at_once_are_all_alike():
    command = [sys.executable, "-c", MANY_AT_ONCE]
    answer = subprocess.run(command, capture_output=True, text=True, check=True)
    assert answer.stdout.strip() == "1"
