"""The player in a browser: in time, in tune, usable by keyboard, and hidden without a script."""

from importlib.resources import files

import numpy as np
import pytest

from melodex.engraving.engrave_song import Look, engrave
from melodex.engraving.sound import PLAYER_SCRIPTS, Track, player_notes
from melodex.parsing.abc.abc_reader import read_abc
from melodex.report.figures import match_player
from tests.strategies import melody_of, song_of
from tests.tabs import small_tab

IN_STEP = 0.030  # maximum delay between highlight and sound, in seconds
IN_TUNE = 3.0  # cents; listeners notice about five. From memory.
TEN = 'X:1\nT:Ten\nM:2/4\nL:1/4\nQ:1/4=120\nK:G\n|:"G"Ge|Ad:|Bc|cB|dA|Ge|Ad|Bc|cB|dA|]\n'
# Records when the audio clock starts a note, and when a head is highlighted.
WATCH = """
window.struck = []; window.marked = [];
const start = AudioBufferSourceNode.prototype.start;
AudioBufferSourceNode.prototype.start = function (when) {
  window.clock = this.context; window.struck.push(when); return start.apply(this, arguments);
};
addEventListener("DOMContentLoaded", () => {
  const { strike } = window.melodexPlayer;
  window.handed = [];
  window.melodexPlayer.strike = (context, event, start, ...rest) => {
    window.handed.push([start, event.pitch, event.layer, event.measure]);
    return strike(context, event, start, ...rest);
  };
});
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
    """Return a page with pictures and one player, and nothing else."""
    folder = files("melodex.engraving") / "static"
    scripts = "\n".join((folder / name).read_text(encoding="utf-8") for name in PLAYER_SCRIPTS)
    style = (folder / "music.css").read_text(encoding="utf-8")
    held = f'<div class="player"><script type="application/json">{notes}</script></div>'
    head = f"<!doctype html><title>Sound</title><style>{style}</style>"
    return f"{head}{''.join(pictures)}{held}<script>{scripts}</script>"


class Sheet:
    """Return a page in a window of its own, loaded anew for each test."""

    def __init__(self, browser, folder, html) -> None:
        folder.joinpath("page.html").write_text(html, encoding="utf-8")
        self.address = (folder / "page.html").as_uri()
        self.page = browser.new_page()
        self.page.add_init_script(WATCH)


@pytest.fixture(scope="module")
def small_sheet(browser, tmp_path_factory):
    """Return the small tab and its player."""
    tab = small_tab()
    engraving = engrave(tab.song, tab=tab, look=Look("a"))
    notes = player_notes("The small tab", [Track("small", tab.song, engraving)])
    sheet = Sheet(browser, tmp_path_factory.mktemp("small"), page_of(notes, engraving.svg))
    yield sheet
    sheet.page.close()


@pytest.fixture
def playing(small_sheet):
    """Return the page of the small tab, just loaded."""
    small_sheet.page.goto("about:blank")
    small_sheet.page.goto(small_sheet.address)
    return small_sheet.page


@pytest.fixture
def pair(opened):
    """Return a page with two songs; the second matches a fifth higher, after a note of its own."""
    one, other = song_of(melody_of(60, 62)), song_of(melody_of(50, 67, 69))
    pictures = engrave(one, look=Look("one")), engrave(other, look=Look("other"))
    notes = match_player("two songs", (one, other), pictures, (0, 1), transposition=7)
    html = page_of(notes, *(picture.svg for picture in pictures))
    return opened(html, script_first=WATCH).page


def play(page, way):
    page.get_by_role("combobox", name="Hear").select_option(way)
    page.get_by_role("button", name="Play two songs").click()


def schedule(page, times):
    """Wait for a number of sounds; return [seconds, pitch, layer, measure] of each scheduled."""
    page.wait_for_function(f"handed.length >= {times}", timeout=20_000)
    return page.evaluate("handed")


def test_a_pair_sounds_one_after_the_other(pair):
    play(pair, "after")
    pair.wait_for_function("struck.length === 5", timeout=10_000)
    struck = np.array(pair.evaluate("struck"))
    # The first song lasts two beats, then comes one of silence; a quarter note is 0.6 s.
    assert struck - struck[0] == pytest.approx(0.6 * np.array([0, 1, 3, 4, 5]), abs=1e-3)


def test_a_pair_sounds_together_where_its_notes_match_in_one_key(pair):
    play(pair, "together")
    pair.wait_for_function("struck.length === 5", timeout=10_000)
    struck = np.array(pair.evaluate("struck"))
    assert struck - struck[0] == pytest.approx(0.6 * np.array([0, 1, 1, 2, 2]), abs=1e-3)
    pair.wait_for_function("marked.length === 5")
    names = pair.evaluate("marked.map(([id]) => id.split('-')[0])")
    assert sorted(names) == ["one", "one", "other", "other", "other"]


@pytest.mark.parametrize(("way", "chords"), [("together", 1), ("after", 2), ("first", 1)])
def test_a_pair_has_chords_of_one_song_at_a_time_as_loud_as_they_are_set(opened, way, chords):
    one, other = (read_abc(f'X:1\nL:1/4\nM:1/4\nK:G\n"{name}"d|', "").songs[0] for name in "GC")
    pictures = engrave(one, look=Look("one")), engrave(other, look=Look("other"))
    notes = match_player("two songs", (one, other), pictures, (0, 0), transposition=0)
    page = opened(page_of(notes, *(each.svg for each in pictures)), script_first=WATCH).page
    page.get_by_role("button", name="More").click()
    page.get_by_role("slider", name="Chords").fill("60")
    play(page, way)
    page.wait_for_function("document.querySelector('.play').textContent === 'Play'")
    heard = page.evaluate(
        "handed.filter(([,, layer]) => layer === 'chords').map((each) => each[1])"
    )
    # By hand: a bass and three tones on the one beat, G2 with G, B, D; C3 with C, E, G.
    basses = [43, 48][:chords]
    assert [pitch for pitch in heard if pitch in basses] == basses
    assert len(heard) == 4 * chords


def test_either_song_of_a_pair_sounds_alone(pair):
    play(pair, "first")
    pair.wait_for_function("marked.length === 2")
    assert {name.split("-")[0] for name, _ in pair.evaluate("marked")} == {"one"}


def test_the_marked_note_is_in_step_with_the_sound_within_30_milliseconds(playing):
    playing.get_by_role("button", name="Play The small tab").click()
    playing.wait_for_function("window.marked.filter(([id]) => id.includes('tab')).length > 8")
    marked = [when for name, when in playing.evaluate("marked") if name.startswith("a-tab")]
    struck = sorted(playing.evaluate("struck"))
    away = [abs(when - begin) for when, begin in zip(marked, struck, strict=False)]
    assert len(away) > 8
    # A busy browser may be late once, but must not drift.
    assert np.median(away) <= IN_STEP
    assert away[-1] <= 2 * IN_STEP


def test_the_note_is_followed_on_staff_and_tab(playing):
    playing.get_by_role("button", name="Play The small tab").click()
    playing.wait_for_function("document.querySelectorAll('.sounding').length >= 2")
    names = playing.evaluate("[...document.querySelectorAll('.sounding')].map((e) => e.id)")
    assert {name.rstrip("0123456789-") for name in names} == {"a-tab", "a-staff"}


@pytest.fixture(scope="module")
def silent(browser):
    """Return a page with the player's files and no music, to test the sound of a string."""
    page = browser.new_page()
    folder = files("melodex.engraving") / "static"
    page.add_script_tag(content=(folder / "string_sound.js").read_text(encoding="utf-8"))
    page.add_script_tag(content=(folder / "heard_piece.js").read_text(encoding="utf-8"))
    yield page
    page.close()


@pytest.mark.parametrize("pitch", [48, 50, 55, 59, 62, 67, 74, 81, 88])
def test_the_string_sounds_the_pitch_of_equal_temperament(silent, pitch):
    rate = 48_000
    sound = np.array(silent.evaluate(f"Array.from(melodexPlayer.pluck({pitch}, {rate}, 1))"))
    assert 0.1 < np.abs(sound).max() <= 1
    # Witness: NumPy's Fourier transform; the fundamental is the strongest bin near the pitch.
    expected = 440 * 2 ** ((pitch - 69) / 12)
    length = 20 * rate
    spectrum = np.abs(np.fft.rfft(sound * np.hanning(len(sound)), length))
    frequencies = np.fft.rfftfreq(length, 1 / rate)
    near = np.abs(np.log2(frequencies[1:] / expected)) < 1 / 12
    found = frequencies[1:][near][np.argmax(spectrum[1:][near])]
    assert abs(1200 * np.log2(found / expected)) < IN_TUNE


def test_a_whole_phrase_rendered_offline_has_its_notes_at_their_times(silent):
    librosa = pytest.importorskip("librosa")
    rate, pitches, step = 22_050, [55, 59, 62, 67], 0.5
    sound = silent.evaluate(
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


def test_the_tempo_is_in_beats_a_minute_and_slower_is_slower(playing):
    tempo = playing.get_by_role("slider", name="Tempo")
    assert (tempo.get_attribute("min"), tempo.get_attribute("max")) == ("30", "150")
    for beats_a_minute in (120, 40):
        tempo.fill(str(beats_a_minute))
        playing.evaluate("handed.length = 0")
        playing.get_by_role("button", name="Play The small tab").click()
        first, second = schedule(playing, 2)[:2]
        # The small tab begins with eighth notes.
        assert second[0] - first[0] == pytest.approx(30 / beats_a_minute, abs=1e-3)
        playing.get_by_role("button", name="Stop").click()


def test_a_count_in_clicks_a_measure_before_the_music(playing):
    playing.get_by_role("button", name="More").click()
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
    playing.get_by_role("slider", name="Tempo").fill("150")
    playing.get_by_role("button", name="Play The small tab").click()
    notes = playing.evaluate(
        "JSON.parse(document.querySelector('.player script').textContent).tracks[0].notes.length"
    )
    playing.wait_for_function(f"struck.length > {notes}", timeout=15_000)
    playing.get_by_role("button", name="Stop").click()
    assert playing.locator(".sounding").count() == 0
    assert playing.locator(".play").inner_text() == "Play"
    assert playing.get_by_role("button", name="Stop").is_disabled()


def test_the_player_is_used_by_keyboard_alone(playing):
    def focus_on(selector):
        for _ in range(12):
            playing.keyboard.press("Tab")
            if playing.evaluate("selector => document.activeElement.matches(selector)", selector):
                return
        raise AssertionError(selector)

    focus_on(".play")
    playing.keyboard.press("Space")
    playing.wait_for_function("struck.length > 0")
    focus_on("[type=range]")
    playing.keyboard.press("ArrowLeft")
    assert playing.locator("output").first.inner_text() == "99"
    playing.keyboard.press("Shift+Tab")
    playing.keyboard.press("Space")
    assert playing.get_by_role("checkbox", name="Loop").is_checked()
    playing.evaluate("document.activeElement.blur()")
    playing.keyboard.press("Space")
    assert playing.locator(".play").inner_text() == "Resume"


@pytest.fixture(scope="module")
def sheet_of_ten(browser, tmp_path_factory):
    """Return a song of ten measures in 2/4 with a repeat and a chord, and its player."""
    (song,) = read_abc(TEN, "ten.abc").songs
    engraving = engrave(song, look=Look("ten"))
    notes = player_notes("Ten", [Track("Ten", song, engraving)])
    sheet = Sheet(browser, tmp_path_factory.mktemp("ten"), page_of(notes, engraving.svg))
    yield sheet
    sheet.page.close()


@pytest.fixture
def ten(sheet_of_ten):
    """Return the page of the ten measures, just loaded."""
    sheet_of_ten.page.goto("about:blank")
    sheet_of_ten.page.goto(sheet_of_ten.address)
    return sheet_of_ten.page


def measure(page, number):
    return page.locator(f"[data-measure='{number}']")


def test_two_clicks_choose_measures_and_a_third_plays_them_slowly_in_a_loop(ten):
    measure(ten, 6).click()
    measure(ten, 8).click()
    ten.get_by_role("button", name="Play slowly").click()
    ten.get_by_role("slider", name="Tempo").fill("180")  # so that the test is short
    handed = schedule(ten, 13)[:13]
    # By hand: measures 6 to 8 are G e | A d | B c, and begin again.
    pitches = [67, 76, 69, 74, 71, 72]
    assert [pitch for _, pitch, _, _ in handed] == [*pitches, *pitches, 67]
    assert [number for *_, number in handed[:6]] == [6, 6, 7, 7, 8, 8]
    assert ten.url.endswith("#measures=6-8&tempo=180")
    assert ten.locator(".chosen").count() == 3


def test_slowly_is_three_fifths_of_the_musics_own_tempo(ten):
    ten.get_by_role("button", name="Play slowly").click()
    first, second = schedule(ten, 2)[:2]
    assert second[0] - first[0] == pytest.approx(60 / (0.6 * 120), abs=1e-3)


def test_typed_measures_are_those_that_sound_through_no_repeat(ten):
    ten.get_by_role("textbox", name="Measures").fill("2-3")
    ten.keyboard.press("Enter")
    assert ten.locator(".chosen").count() == 2
    ten.get_by_role("checkbox", name="Loop").uncheck()
    ten.get_by_role("slider", name="Tempo").fill("180")
    ten.get_by_role("button", name="Play Ten").click()
    ten.wait_for_function("document.querySelector('.play').textContent === 'Play'")
    assert [number for *_, number in ten.evaluate("handed")] == [2, 2, 3, 3]


def test_measures_that_the_music_does_not_have_are_refused_in_words(ten):
    ten.get_by_role("textbox", name="Measures").fill("40-41")
    ten.keyboard.press("Enter")
    words = ten.get_by_role("textbox", name="Measures").evaluate("field => field.validationMessage")
    assert words == "Write measures as 6-8 or 6, from 1 to 10, or leave this empty for all."
    assert ten.locator(".chosen").count() == 0


def test_an_address_brings_measures_and_tempo_back(ten):
    ten.goto(f"{ten.url}#measures=6-8&tempo=80")
    ten.reload()
    assert ten.get_by_role("textbox", name="Measures").input_value() == "6-8"
    assert ten.locator("output").first.inner_text() == "80"
    assert ten.locator(".chosen").count() == 3
    ten.get_by_role("button", name="Play Ten").click()
    handed = schedule(ten, 4)
    away = [at - handed[0][0] - 60 / 80 * beat for beat, (at, *_) in enumerate(handed)]
    assert np.abs(away).max() <= IN_STEP


def test_the_metronome_clicks_with_the_beats(ten):
    ten.get_by_role("button", name="More").click()
    ten.get_by_role("checkbox", name="Metronome").check()
    ten.get_by_role("button", name="Play Ten").click()
    handed = schedule(ten, 8)[:8]
    clicks, notes = (
        [each for each in handed if each[2] == layer] for layer in ("metronome", "melody")
    )
    times = [np.array([each[0] for each in layer]) for layer in (clicks, notes)]
    assert np.abs(times[0] - times[1]).max() <= IN_STEP  # the tune has a note on each beat
    first_beats = [pitch for _, pitch, _, _ in clicks]
    assert first_beats[0] == first_beats[2] != first_beats[1]


def test_chords_sound_as_loud_as_they_are_set_and_the_melody_can_be_silent(ten):
    ten.get_by_role("button", name="More").click()
    ten.get_by_role("slider", name="Chords").fill("60")
    ten.get_by_role("slider", name="Melody").fill("0")
    ten.get_by_role("button", name="Play Ten").click()
    handed = schedule(ten, 5)[:5]
    assert {layer for _, _, layer, _ in handed} == {"chords"}
    # G2 on the first beat, then G2 with a G major triad above E3.
    assert [pitch for _, pitch, _, _ in handed] == [43, 43, 55, 59, 62]


def test_the_tempo_rises_from_loop_to_loop_up_to_the_musics_own(ten):
    ten.get_by_role("textbox", name="Measures").fill("6")
    ten.keyboard.press("Enter")
    ten.get_by_role("slider", name="Tempo").fill("100")
    ten.get_by_role("button", name="More").click()
    ten.get_by_label("Faster with each loop").select_option("10")
    ten.get_by_role("button", name="Play Ten").click()
    seconds = [at for at, *_ in schedule(ten, 8)[:8]]
    # 10 % of 120: from 100 to 112, then no further than 120.
    expected = [60 / 100, 60 / 100, *[60 / 112] * 2, *[60 / 120] * 3]
    assert np.diff(seconds) == pytest.approx(expected, abs=1e-3)


def test_all_sounds_are_moved_by_half_steps(ten):
    ten.get_by_role("button", name="More").click()
    ten.get_by_label("Half-steps").fill("2")
    ten.get_by_role("button", name="Play Ten").click()
    assert [pitch for _, pitch, _, _ in schedule(ten, 2)[:2]] == [69, 78]


def test_a_pause_goes_on_where_it_stopped(ten):
    ten.keyboard.press("Space")
    schedule(ten, 3)
    ten.wait_for_function("marked.length >= 2")
    ten.keyboard.press("Space")
    assert ten.locator(".play").inner_text() == "Resume"
    ten.evaluate("handed.length = 0")
    ten.keyboard.press("Space")
    _, pitch, _, number = schedule(ten, 1)[0]
    assert (number, pitch) in {(2, 69), (1, 76), (2, 74)}


def test_on_a_telephone_the_bar_is_one_row_and_the_rest_is_behind_more(ten):
    ten.set_viewport_size({"width": 320, "height": 640})
    buttons = ten.locator(".player-bar .main > :visible")
    tops = buttons.evaluate_all("all => all.map((each) => each.offsetTop)")
    assert len(tops) == 4
    assert len(set(tops)) == 1
    assert not ten.get_by_role("slider", name="Tempo").is_visible()
    ten.get_by_role("button", name="More").click()
    for name in ("Measures", "Loop", "Tempo"):
        assert ten.get_by_label(name).first.is_visible()
    ten.set_viewport_size({"width": 1280, "height": 720})
    ten.get_by_role("button", name="More").click()
    assert ten.get_by_role("slider", name="Tempo").is_visible()


@pytest.mark.parametrize(("motion", "way"), [("reduce", "auto"), ("no-preference", "smooth")])
def test_the_page_follows_the_music_and_jumps_where_less_motion_is_wanted(opened, motion, way):
    song = song_of(melody_of(*range(60, 72)))
    engraving = engrave(song)
    notes = player_notes("far down", [Track("far", song, engraving)])
    html = page_of(notes, '<div style="height: 3000px"></div>', engraving.svg)
    page = opened(html, script_first=WATCH, reduced_motion=motion).page
    page.evaluate(
        """() => { window.ways = []; const { scrollIntoView } = Element.prototype;
        Element.prototype.scrollIntoView = function (how) {
          ways.push(how.behavior); scrollIntoView.call(this, how); }; scrollTo(0, 0); }"""
    )
    page.keyboard.press("Space")
    page.wait_for_function("marked.length > 1 && scrollY > 100")
    assert set(page.evaluate("ways")) == {way}
