"""The player in a browser: in step, in tune, by keyboard, and quiet without a script."""

from importlib.resources import files

import numpy as np
import pytest

from melodex.engraving.engrave_song import Look, engrave
from melodex.engraving.sound import Track, player_notes
from melodex.report.figures import answering_player
from tests.strategies import melody_of, song_of
from tests.tabs import small_tab

IN_STEP = 0.030  # seconds that the marked note may be away from the sound
IN_TUNE = 3.0  # cents; listeners tell some five apart. From memory.
# The audio clock's own account of when a note begins, and of when a head is marked.
WATCH = """
window.struck = []; window.marked = [];
const start = AudioBufferSourceNode.prototype.start;
AudioBufferSourceNode.prototype.start = function (when) {
  window.clock = this.context; window.struck.push(when); return start.apply(this, arguments);
};
new MutationObserver((changes) => {
  for (const { target, oldValue } of changes) {
    const was = (oldValue || "").split(" ").includes("sounding");
    if (was || !target.classList.contains("sounding")) continue;
    const { contextTime, performanceTime } = window.clock.getOutputTimestamp();
    const heard = contextTime + (performance.now() - performanceTime) / 1000;
    window.marked.push([target.id, heard]);
  }
}).observe(document, {
  subtree: true, attributes: true, attributeFilter: ["class"], attributeOldValue: true });
"""


def page_of(notes, *pictures):
    """A page that holds pictures and one player, and nothing else."""
    script = (files("melodex.engraving") / "static" / "player.js").read_text(encoding="utf-8")
    held = f'<div class="player"><script type="application/json">{notes}</script></div>'
    return f"<!doctype html><title>Sound</title>{''.join(pictures)}{held}<script>{script}</script>"


@pytest.fixture
def playing(opened):
    """A page with the small tab and its player."""
    tab = small_tab()
    engraving = engrave(tab.song, tab=tab, look=Look("a"))
    notes = player_notes("The small tab", [Track("small", tab.song, engraving)])
    return opened(page_of(notes, engraving.svg), script_first=WATCH).page


@pytest.fixture
def pair(opened):
    """A page with two songs; the second answers a fifth higher, after a note of its own."""
    one, other = song_of(melody_of(60, 62)), song_of(melody_of(50, 67, 69))
    pictures = engrave(one, look=Look("one")), engrave(other, look=Look("other"))
    notes = answering_player("two songs", (one, other), pictures, (0, 1), transposition=7)
    html = page_of(notes, *(picture.svg for picture in pictures))
    return opened(html, script_first=WATCH).page


def play(page, way):
    page.get_by_role("radio", name=way).first.check()
    page.get_by_role("button").first.click()


def test_a_pair_sounds_one_after_the_other(pair):
    play(pair, "one after the other")
    pair.wait_for_function("struck.length === 5", timeout=10_000)
    struck = np.array(pair.evaluate("struck"))
    # The first song lasts two beats, then comes one of silence; a quarter note is 0.6 s.
    assert struck - struck[0] == pytest.approx(0.6 * np.array([0, 1, 3, 4, 5]), abs=1e-3)


def test_a_pair_sounds_together_where_its_notes_answer_each_other_in_one_key(pair):
    play(pair, "together")
    pair.wait_for_function("struck.length === 5", timeout=10_000)
    struck = np.array(pair.evaluate("struck"))
    assert struck - struck[0] == pytest.approx(0.6 * np.array([0, 1, 1, 2, 2]), abs=1e-3)
    pair.wait_for_function("marked.length === 5")
    names = pair.evaluate("marked.map(([id]) => id.split('-')[0])")
    assert sorted(names) == ["one", "one", "other", "other", "other"]


def test_either_song_of_a_pair_sounds_alone(pair):
    play(pair, "The Green Gate")  # both are called so; the first is meant
    pair.wait_for_function("marked.length === 2")
    assert {name.split("-")[0] for name, _ in pair.evaluate("marked")} == {"one"}


def test_the_marked_note_is_in_step_with_the_sound_within_30_milliseconds(playing):
    playing.get_by_role("button", name="Play The small tab").click()
    playing.wait_for_function("window.marked.filter(([id]) => id.includes('tab')).length > 8")
    marked = [when for name, when in playing.evaluate("marked") if name.startswith("a-tab")]
    struck = sorted(playing.evaluate("struck"))
    away = [abs(when - begin) for when, begin in zip(marked, struck, strict=False)]
    assert len(away) > 8
    # A browser that other work holds up may be late once; it must not drift.
    assert np.median(away) <= IN_STEP
    assert away[-1] <= 2 * IN_STEP


def test_the_note_is_followed_on_staff_and_tab(playing):
    playing.get_by_role("button", name="Play The small tab").click()
    playing.wait_for_function("document.querySelectorAll('.sounding').length >= 2")
    names = playing.evaluate("[...document.querySelectorAll('.sounding')].map((e) => e.id)")
    assert {name.rstrip("0123456789-") for name in names} == {"a-tab", "a-staff"}


@pytest.mark.parametrize("pitch", [48, 50, 55, 59, 62, 67, 74, 81, 88])
def test_the_string_sounds_the_pitch_of_equal_temperament(playing, pitch):
    rate = 48_000
    sound = np.array(playing.evaluate(f"Array.from(melodexPlayer.pluck({pitch}, {rate}, 1))"))
    assert 0.1 < np.abs(sound).max() <= 1
    # Witness: NumPy's Fourier transform; the fundamental is its strongest place near the pitch.
    expected = 440 * 2 ** ((pitch - 69) / 12)
    length = 20 * rate
    spectrum = np.abs(np.fft.rfft(sound * np.hanning(len(sound)), length))
    frequencies = np.fft.rfftfreq(length, 1 / rate)
    near = np.abs(np.log2(frequencies[1:] / expected)) < 1 / 12
    found = frequencies[1:][near][np.argmax(spectrum[1:][near])]
    assert abs(1200 * np.log2(found / expected)) < IN_TUNE


def test_a_whole_phrase_rendered_offline_has_its_notes_at_their_times(playing):
    librosa = pytest.importorskip("librosa")
    rate, pitches, step = 22_050, [55, 59, 62, 67], 0.5
    sound = playing.evaluate(
        """async ([rate, pitches, step]) => {
          const context = new OfflineAudioContext(1, rate * pitches.length * step, rate);
          const track = { notes: pitches.map((pitch, n) => [n * step, step, pitch, []]) };
          for (const event of melodexPlayer.eventsOf(track, 0, 0, 0)) {
            melodexPlayer.strike(context, event, event.at, event.at + event.length);
          }
          return Array.from((await context.startRendering()).getChannelData(0));
        }""",
        [rate, pitches, step],
    )
    # Witness: librosa's YIN (de Cheveigné and Kawahara, 2002).
    samples = np.array(sound)
    for number, pitch in enumerate(pitches):
        middle = samples[int((number * step + 0.1) * rate) : int((number * step + 0.4) * rate)]
        found = librosa.yin(middle, fmin=80, fmax=1000, sr=rate, frame_length=2048)
        assert np.median(librosa.hz_to_midi(found)) == pytest.approx(pitch, abs=0.2)


def test_slower_is_slower_and_the_tempo_goes_from_40_to_120_percent(playing):
    tempo = playing.get_by_role("slider", name="Tempo")
    assert (tempo.get_attribute("min"), tempo.get_attribute("max")) == ("40", "120")
    steps = []
    for percent in ("120", "40"):
        tempo.fill(percent)
        playing.evaluate("struck.length = 0")
        playing.get_by_role("button", name="Play The small tab").click()
        playing.wait_for_function("struck.length > 2")
        first, _, third = playing.evaluate("struck.slice(0, 3)")
        steps.append(third - first)
        playing.get_by_role("button").first.click()
    assert steps[1] / steps[0] == pytest.approx(3, rel=0.01)


def test_a_count_in_clicks_a_measure_before_the_music(playing):
    playing.get_by_role("checkbox", name="Count-in").check()
    playing.get_by_role("button", name="Play The small tab").click()
    playing.wait_for_function("marked.length > 0")
    struck = playing.evaluate("struck")
    (_, first_mark), *_ = playing.evaluate("marked")
    # Four clicks a beat apart at 100 quarter notes a minute, then the music.
    assert np.diff(struck[:5]) == pytest.approx([0.6] * 4, abs=1e-3)
    assert first_mark == pytest.approx(struck[4], abs=2 * IN_STEP)


def test_a_loop_goes_on_and_stop_ends_it(playing):
    playing.get_by_role("checkbox", name="Loop").check()
    playing.get_by_role("slider", name="Tempo").fill("120")
    button = playing.get_by_role("button").first
    button.click()
    notes = playing.evaluate(
        "JSON.parse(document.querySelector('.player script').textContent).tracks[0].notes.length"
    )
    playing.wait_for_function(f"struck.length > {notes}", timeout=15_000)
    button.click()
    assert playing.locator(".sounding").count() == 0
    assert button.inner_text() == "Play"


def test_the_player_is_used_by_keyboard_alone(playing):
    for _ in range(12):
        playing.keyboard.press("Tab")
        if playing.evaluate("document.activeElement.tagName") == "BUTTON":
            break
    playing.keyboard.press("Space")
    playing.wait_for_function("struck.length > 0")
    playing.keyboard.press("Tab")
    playing.keyboard.press("ArrowLeft")
    assert playing.locator("output").first.inner_text() == "95 %"
    playing.keyboard.press("Tab")
    playing.keyboard.press("Space")
    assert playing.get_by_role("checkbox", name="Loop").is_checked()
    playing.keyboard.press("Shift+Tab")
    playing.keyboard.press("Shift+Tab")
    playing.keyboard.press("Enter")
    assert playing.get_by_role("button").first.inner_text() == "Play"


@pytest.mark.parametrize(("motion", "moves"), [("reduce", False), ("no-preference", True)])
def test_the_page_follows_the_music_unless_less_motion_is_asked_for(opened, motion, moves):
    song = song_of(melody_of(*range(60, 72)))
    engraving = engrave(song)
    notes = player_notes("far down", [Track("far", song, engraving)])
    html = page_of(notes, '<div style="height: 3000px"></div>', engraving.svg)
    page = opened(html, script_first=WATCH, reduced_motion=motion).page
    page.get_by_role("button").focus()
    page.evaluate("scrollTo(0, 0)")
    page.keyboard.press("Space")
    page.wait_for_function("marked.length > 1")
    page.wait_for_timeout(400)
    assert (page.evaluate("scrollY") > 100) == moves
