"""Judges files of sound from outside: python sound.py FOLDER

The folder has for each piece a WAV, the same as FLAC, and a TSV of the strokes that it should
hold (`QUINTFALL_SOUNDS=FOLDER cargo test --test sound` leaves them). Judged by numpy, scipy and
pyloudnorm, and by the reference decoder of FLAC: loudness, true peak, mean, ends, onsets, and
that FLAC and WAV are the same samples. Spectra and decays are printed beside those of recorded
notes, and may not stray further from them than the table allows.
"""

import csv
import subprocess
import sys
from pathlib import Path

import numpy as np
import pyloudnorm
from scipy.io import wavfile
from scipy.ndimage import maximum_filter1d
from scipy.signal import butter, resample_poly, sosfilt

RATE = 44100
LOUDNESS, PEAK = -18.0, -1.0
ONSET = 0.010

# What was recorded (notes of a sound font of recorded instruments), in hertz and seconds; how far
# ours may be from it, as a ratio either way. A piece alone, the window after a stroke in seconds.
CENTROIDS = [
    ("ride", 51, (0.0, 0.05), 9800, 1.15),
    ("ride", 51, (0.05, 0.25), 6000, 1.25),
    ("ride", 51, (0.5, 1.0), 3000, 1.35),
    ("ride", 51, (1.5, 2.0), 1800, 1.35),
    ("hihat", 44, (0.0, 0.1), 13000, 1.2),
    ("bass", 33, (0.0, 0.05), 86, 1.25),
    ("bass", 33, (0.05, 0.25), 69, 1.25),
    ("pianoright", 60, (0.0, 0.05), 874, 1.25),
    ("pianoright", 60, (0.05, 0.25), 481, 1.25),
    ("pianoright", 60, (0.5, 1.0), 350, 1.3),
]
# T60 by band in hertz, seconds.
DECAYS = [
    ("ride", 51, (500, 1000), 3.5, 1.3),
    ("ride", 51, (1000, 3000), 3.3, 1.3),
    ("ride", 51, (3000, 6000), 2.5, 1.3),
    ("ride", 51, (6000, 12000), 1.65, 1.3),
    ("hihat", 44, (3000, 16000), 0.18, 1.35),
]
# What a stroke may take to rise, in seconds: ours, so that each is heard on its beat.
RISES = [("ride", 51, 0.010), ("hihat", 44, 0.010), ("bass", 33, 0.040), ("pianoright", 60, 0.020)]


def read(path):
    rate, samples = wavfile.read(path)
    assert rate == RATE and samples.dtype == np.int16 and samples.ndim == 1, path
    return samples.astype(np.float64) / 32768


def strokes(path):
    with open(path, newline="") as file:
        rows = list(csv.DictReader(file, delimiter="\t"))
    return [(row["part"], float(row["second"]), int(row["pitch"])) for row in rows]


def level(ratio):
    return 20 * np.log10(max(ratio, 1e-12))


def judge_level(sound):
    """Loudness, true peak, mean, and the level of the last millisecond."""
    loudness = pyloudnorm.Meter(RATE).integrated_loudness(sound)
    peak = level(np.abs(resample_poly(sound, 4, 1)).max())
    return loudness, peak, sound.mean(), level(np.abs(sound[-44:]).max())


def judge_onsets(sound, seconds, slow):
    """How late each stroke rises: where a fifth of the way from what was before to the top of the
    next 40 ms is reached."""
    if slow:  # a string's own waves are no strokes
        sound = sosfilt(butter(2, [250, 4000], "band", fs=RATE, output="sos"), sound)
    else:
        sound = sosfilt(butter(2, 1000, "high", fs=RATE, output="sos"), sound)
    late = []
    for second in seconds:
        at = round(second * RATE)
        before = np.abs(sound[max(0, at - 441) : at]).max(initial=0)
        after = np.abs(sound[at : at + 1764])
        threshold = before + 0.2 * (after.max() - before)
        late.append(np.argmax(after >= threshold) / RATE if after.max() > before else 9.0)
    return np.array(late)


def centroid(sound):
    power = np.abs(np.fft.rfft(sound * np.hanning(len(sound)), 1 << 17)) ** 2
    return (power * np.fft.rfftfreq(1 << 17, 1 / RATE)).sum() / power.sum()


def decay(sound, band):
    """T60 by the slope of the energy that is left (Schroeder 1965), from -3 to -23 dB."""
    heard = sosfilt(butter(4, band, "band", fs=RATE, output="sos"), sound)[round(0.08 * RATE) :]
    left = np.cumsum(heard[::-1] ** 2)[::-1]
    decibels = 10 * np.log10(left / left[0] + 1e-12)
    first, last = np.argmax(decibels < -3), np.argmax(decibels < -23)
    slope = np.polyfit(np.arange(first, last) / RATE, decibels[first:last], 1)[0]
    return -60 / slope


def rise(sound):
    """Seconds from a tenth to nine tenths of the top of its first 60 ms, by an envelope of 2.5 ms."""
    envelope = maximum_filter1d(np.abs(sound[: round(0.06 * RATE)]), round(RATE / 400), origin=round(RATE / 800) - 1)
    top = envelope.max()
    return (np.argmax(envelope >= 0.9 * top) - np.argmax(envelope >= 0.1 * top)) / RATE


def main():
    folder = Path(sys.argv[1])
    faults, pieces = [], sorted(folder.glob("*.wav"))
    assert pieces, f"no sounds in {folder}"
    for path in pieces:
        name = path.stem
        sound = read(path)
        loudness, peak, mean, end = judge_level(sound)
        print(f"{name:24} {loudness:6.1f} LUFS {peak:5.1f} dBTP mean {mean:8.1e} end {end:6.1f} dBFS")
        # Noise of a twentieth of a second alone, and a single stroke, are no louder than peaks allow.
        is_sparse = name.startswith("one-") or "hihat" in name
        if not LOUDNESS - (7 if is_sparse else 1) < loudness < LOUDNESS + 1:
            faults.append(f"{name}: {loudness:.1f} LUFS")
        if not peak < PEAK:
            faults.append(f"{name}: {peak:.2f} dBTP")
        if abs(mean) > 3e-5:
            faults.append(f"{name}: a mean of {mean:.1e}")
        if end > -80:
            faults.append(f"{name}: ends at {end:.1f} dBFS")
        flac = path.with_suffix(".flac")
        subprocess.run(["flac", "-s", "-t", flac], check=True)
        again = path.with_suffix(".again.wav")
        subprocess.run(["flac", "-s", "-d", "-f", "-o", again, flac], check=True)
        if not np.array_equal(read(again), sound):
            faults.append(f"{name}: FLAC and WAV differ")
        again.unlink()
        if name.startswith("alone-"):
            part = name.split("-")[1]
            seconds = sorted({second for _, second, _ in strokes(path.with_suffix(".tsv"))})
            late = judge_onsets(sound, seconds, part in ("bass", "pianoleft"))
            print(f"{'':24} {len(late)} onsets, median {np.median(late) * 1e3:.1f} ms, latest {late.max() * 1e3:.1f} ms")
            if (late > ONSET).any():
                faults.append(f"{name}: {(late > ONSET).sum()} of {len(late)} onsets late")
    print(f"{'':24} {'':14} recorded   ours")
    for part, pitch, (begin, end), recorded, most in CENTROIDS:
        sound = read(folder / f"one-{part}-{pitch}.wav")
        ours = centroid(sound[round(begin * RATE) : round(end * RATE)])
        print(f"{part:12} centroid {begin * 1e3:5.0f}-{end * 1e3:4.0f} ms {recorded:8.0f} {ours:8.0f} Hz")
        if not recorded / most < ours < recorded * most:
            faults.append(f"{part}: centroid {ours:.0f} Hz at {begin}-{end} s")
    for part, pitch, band, recorded, most in DECAYS:
        ours = decay(read(folder / f"one-{part}-{pitch}.wav"), band)
        print(f"{part:12} T60 {band[0]:5}-{band[1]:5} Hz    {recorded:8.2f} {ours:8.2f} s")
        if not recorded / most < ours < recorded * most:
            faults.append(f"{part}: T60 {ours:.2f} s at {band} Hz")
    print(f"{'':24} {'':14} at most   ours")
    for part, pitch, most in RISES:
        ours = rise(read(folder / f"one-{part}-{pitch}.wav"))
        print(f"{part:12} from a tenth to nine of its top {most * 1e3:8.1f} {ours * 1e3:8.1f} ms")
        if ours > most:
            faults.append(f"{part}: rises in {ours * 1e3:.1f} ms")
    for fault in faults:
        print("fault:", fault)
    print(f"{len(pieces)} sounds judged: {len(faults)} faults")
    sys.exit(bool(faults))


if __name__ == "__main__":
    main()
