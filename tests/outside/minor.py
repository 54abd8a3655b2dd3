"""Spells the diatonic sevenths of the minor scales with music21, for
`tests/data/minor_sevenths.json`: natural minor, harmonic minor, and melodic minor as it ascends,
on all fifteen tonics whose minor signatures have at most seven signs.

Compares the file with what music21 says, byte for byte, or writes it anew. The harmonic minor
chords, which another run of music21 gave long ago, must be those of `diatonic_sevenths.json`.

Usage: minor.py [--write]
"""

import json
import pathlib

from music21 import chord, harmony, key, scale

from kept import compare_or_write

DATA = pathlib.Path(__file__).parents[1] / "data"
FILE = DATA / "minor_sevenths.json"
OLDER = DATA / "diatonic_sevenths.json"
TONICS = "Ab Eb Bb F C G D A E B F# C# G# D# A#".split()
SCALES = {
    "natural_minor": scale.MinorScale,
    "harmonic_minor": scale.HarmonicMinorScale,
    "melodic_minor": scale.MelodicMinorScale,
}
# Our names of the kinds where music21's differ.
KINDS = {
    "half-diminished-seventh": "half-diminished",
    "minor-major-seventh": "minor-major",
}


def plain(pitch):
    return pitch.name[0] + pitch.name[1:].replace("-", "b")


def ascending(minor):
    """Three octaves of a scale, going up."""
    name = minor.tonic.name
    return minor.getPitches(f"{name}2", f"{name}5", direction=scale.Direction.ASCENDING)


def seventh(pitches, degree):
    notes = [pitches[degree - 1 + 2 * third] for third in range(4)]
    own = chord.Chord(notes)
    semitones = [round(note.ps - notes[0].ps) for note in notes]
    _, kind = harmony.chordSymbolFigureFromChord(own, True)
    if own.root().name != notes[0].name or not own.isSeventh():
        raise SystemExit(f"music21 hears no seventh on {notes[0]} in {own}")
    return {"degree": degree, "root": plain(notes[0]), "kind": KINDS.get(kind, kind),
            "notes": [plain(note) for note in notes], "semitones": semitones}


def of_key(tonic, kind):
    name = tonic[0].lower() + tonic[1:].replace("b", "-")
    pitches = ascending(kind(name))
    return {"fifths": key.Key(name).sharps, "scale": [plain(note) for note in pitches[:7]],
            "chords": [seventh(pitches, degree) for degree in range(1, 8)]}


def text(modes):
    compact = lambda value: json.dumps(value, separators=(",", ":"))
    rows = [
        json.dumps(mode) + ": {\n" + ",\n".join(
            f"{json.dumps(tonic)}: {compact(own)}" for tonic, own in keys.items()) + "\n}"
        for mode, keys in modes.items()
    ]
    return "{\n" + ",\n".join(rows) + "\n}\n"


def main():
    modes = {mode: {tonic: of_key(tonic, kind) for tonic in TONICS}
             for mode, kind in SCALES.items()}
    older = json.loads(OLDER.read_text())["harmonic_minor"]
    for tonic, own in modes["harmonic_minor"].items():
        if own != older[tonic]:
            raise SystemExit(f"{tonic} harmonic minor: {own}, in {OLDER.name} {older[tonic]}")
    count = sum(len(own["chords"]) for keys in modes.values() for own in keys.values())
    compare_or_write(FILE, text(modes), count)


if __name__ == "__main__":
    main()
