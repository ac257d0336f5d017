"""Track beats in a performance whose file does not state its tempo."""

import numpy as np

from melodex._types import Beats

FRAME = 0.02  # seconds; played beats are no more precise, and are smoothed with their neighbours
_WIDTH = 0.02  # seconds: standard deviation of an onset's pulse; one frame
_SLOWEST, _QUICKEST = 1.5, 0.25  # seconds a beat: 40 to 240 a minute. Common practice, no source.
# Preference for tempi near 120, in octaves. Source: Ellis 2007 (below; from memory).
_PREFERRED_PERIOD, _PREFERENCE_WIDTH = 0.5, 0.9
_TIGHTNESS = 100.0  # weight of uneven beats. Source: librosa's default for the same method.
_CANDIDATES = 4  # periods tried: the right one, its double, its half, and one for triplets
_LONGEST_WEIGHT = 1.0  # seconds; longer notes weigh no more
_SMOOTHING = 2.0  # beats on either side over which tempo is taken as constant
LONGEST = 1200.0  # seconds of music; beats of longer music are not tracked


def tracked_beats(onsets: Beats) -> list[Beats]:
    """Return times of beats in seconds, one array for each likely period.

    Parameters
    ----------
    onsets : shape (n,)
        Seconds, ascending; at most ``LONGEST`` from the first to the last.

    Notes
    -----
    Onsets become an envelope in which long notes are stronger; its autocorrelation, weighted
    towards moderate tempi, gives the periods; dynamic programming places beats for each so that
    they are strong and evenly spaced. Since onsets are uneven, each beat is then moved onto a line
    fitted through its neighbours.

    Source
    ------
    Ellis, "Beat tracking by dynamic programming", Journal of New Music Research 36(1), 2007; there
    the envelope is computed from sound, here from the notes.
    """
    envelope = _envelope(onsets - onsets[0])
    beats = [_beats_of(envelope, period) for period in _periods(envelope)]
    return [onsets[0] + _smoothed(each * FRAME) for each in beats if len(each) > 1]


def _envelope(onsets: Beats) -> Beats:
    """Return the strength of each frame, with a standard deviation of 1; shape (n_frames,)."""
    lengths = np.diff(onsets, append=onsets[-1] + _PREFERRED_PERIOD)
    weights = np.sqrt(np.minimum(lengths, _LONGEST_WEIGHT))
    envelope = np.zeros(int(onsets[-1] / FRAME) + 6)
    nearest = np.rint(onsets / FRAME).astype(np.int64)
    for step in range(-2, 3):
        frames = np.maximum(nearest + step, 0)
        strengths = np.exp(-0.5 * ((frames * FRAME - onsets) / _WIDTH) ** 2)
        np.add.at(envelope, frames, weights * strengths)
    return np.asarray(envelope / envelope.std(), dtype=np.float64)


def _periods(envelope: Beats) -> list[float]:
    """Return the most likely periods in frames, the most likely first."""
    lags = np.arange(1, int(_SLOWEST / FRAME) + 2)
    spectrum = np.fft.rfft(envelope - envelope.mean(), 2 * (len(envelope) + len(lags)))
    likeness = np.fft.irfft(np.abs(spectrum) ** 2)[lags]
    octaves = np.log2(lags * FRAME / _PREFERRED_PERIOD)
    weighted = likeness * np.exp(-0.5 * (octaves / _PREFERENCE_WIDTH) ** 2)
    inner = weighted[1:-1]
    peaks = np.flatnonzero((inner >= weighted[:-2]) & (inner > weighted[2:])) + 1
    peaks = peaks[lags[peaks] * FRAME >= _QUICKEST]
    best = peaks[np.argsort(-weighted[peaks], kind="stable")][:_CANDIDATES]
    return [float(period) for period in lags[best]]


def _beats_of(envelope: Beats, period: float) -> Beats:
    """Place beats by dynamic programming; return their frames."""
    steps = np.arange(round(period / 2), round(2 * period) + 1)
    penalties = -_TIGHTNESS * np.log(steps / period) ** 2
    shortest, longest = int(steps[0]), int(steps[-1])
    # Nothing precedes the first frame, so nothing can be gained there.
    gains = np.concatenate([np.zeros(longest), envelope])
    back = np.full(len(envelope), -1)
    # Beats are at least the shortest step apart, so that many frames can be computed at once.
    for start in range(0, len(envelope), shortest):
        frames = np.arange(start, min(start + shortest, len(envelope)))
        ways = penalties + gains[frames[:, None] + longest - steps]
        chosen = ways.argmax(axis=1)
        gained = ways.max(axis=1)
        back[frames] = np.where(gained > 0, frames - steps[chosen], -1)
        gains[frames + longest] += np.maximum(gained, 0.0)
    last = gains[-longest:]
    frame = len(envelope) - len(last) + int(last.argmax())
    beats: list[int] = []
    while frame >= 0:
        beats.append(frame)
        frame = int(back[frame])
    return np.array(beats[::-1], dtype=np.float64)


def _smoothed(beats: Beats) -> Beats:
    """Move each beat onto the straight line fitted to it and its neighbours.

    Source
    ------
    Local linear regression: Fan and Gijbels, Local Polynomial Modelling and Its Applications, 1996
    (from memory).
    """
    reach = round(4 * _SMOOTHING)
    distances = np.arange(-reach, reach + 1, dtype=np.float64)
    weights = np.exp(-0.5 * (distances / _SMOOTHING) ** 2)

    def moment(values: Beats, power: int) -> Beats:
        """Return the weighted sum of values around each beat, times a power of their distance."""
        kernel = (weights * distances**power)[::-1]
        return np.convolve(values, kernel)[reach : reach + len(values)]

    ones = np.ones(len(beats))
    total, first, second = (moment(ones, power) for power in range(3))
    return (second * moment(beats, 0) - first * moment(beats, 1)) / (total * second - first**2)
