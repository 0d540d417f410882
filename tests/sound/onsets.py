"""Finds the moments at which sounds start in a recording, and compares them with the expected moments.

It uses no code of the program."""

import numpy as np

RATE = 50_000
# Frequency bands in Hz: the tones of a class, the voice of the tests, the reference.
TONES, VOICE, REFERENCE = (150, 5_000), (6_200, 7_800), (13_500, 16_500)
# A sound starts after at least this much silence, in seconds.
STILL = 0.008
# A sound this far from an expected moment still counts as the expected one, in ms.
NEAR_MS = 60


def band(sound, low, high):
    """The part of a sound between two frequencies, without delay."""
    taps = np.arange(-200, 201)
    sinc = lambda cut: 2 * cut / RATE * np.sinc(2 * cut / RATE * taps)
    kernel = (sinc(high) - sinc(low)) * np.kaiser(len(taps), 8)
    # Overlap-add in blocks, so that minutes of sound need no very large transform.
    size, out = 1 << 16, np.zeros(len(sound) + len(taps) - 1)
    spectrum = np.fft.rfft(kernel, size + len(taps) - 1)
    for at in range(0, len(sound), size):
        block = np.fft.irfft(np.fft.rfft(sound[at : at + size], size + len(taps) - 1) * spectrum, size + len(taps) - 1)
        end = min(len(out), at + len(block))
        out[at:end] += block[: end - at]
    return out[200 : 200 + len(sound)]


def onsets(sound, pitches, least=0.004):
    """The moments, in ms, at which a sound in a band starts after silence."""
    hot = np.flatnonzero(abs(band(sound, *pitches)) > least)
    if not len(hot):
        return np.array([])
    begins = np.concatenate(([True], np.diff(hot) > STILL * RATE))
    return hot[begins] / RATE * 1000


def fit(due, heard):
    """The offset with which most of the expected sounds are heard."""
    differences = np.sort((heard[:, None] - np.asarray(due)[None, :]).ravel())
    # The 2 ms with the most differences, then the median of those.
    upto = np.searchsorted(differences, differences + 2)
    best = np.argmax(upto - np.arange(len(differences)))
    return np.median(differences[best : upto[best]])


class Held:
    """The expected moments compared with the moments that are heard."""

    def __init__(self, due, heard, offset, rhythm_ms=0):
        self.missing, self.off, taken = [], [], set()
        for at in due:
            index = int(np.argmin(abs(heard - offset - at))) if len(heard) else -1
            if index < 0 or abs(heard[index] - offset - at) > NEAR_MS:
                self.missing.append(round(at))
                continue
            taken.add(index)
            self.off.append(heard[index] - offset - at)
        after = lambda at: any(0 < at - one < rhythm_ms for one in due)
        rest = [heard[n] - offset for n in range(len(heard)) if n not in taken]
        self.extra = [round(at) for at in rest if not after(at)]
        self.off = np.array(self.off)

    @property
    def spread(self):
        return float(self.off.max() - self.off.min()) if len(self.off) else 0.0

    @property
    def worst(self):
        """How far the worst one is from the median."""
        return float(abs(self.off - np.median(self.off)).max()) if len(self.off) else 0.0

    def __str__(self):
        return (f"{len(self.off)} heard, {len(self.missing)} missing {self.missing[:8]}, {len(self.extra)} extra"
                f" {self.extra[:8]}, spread {self.spread:.3f} ms")
