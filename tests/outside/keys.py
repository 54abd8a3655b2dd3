"""Writes the chorales of which music21 carries an analysis by people, as chord symbols with the key
that each chord was heard in, for `tests/data/chorale_keys.json`.

The analyses are in RomanText, by Andrew Jones, Dmitri Tymoczko and others; chorales in other metres
than three and four quarters, and bars that have no one analysis, are left out.

Compares the file with what music21 says, byte for byte, or writes it anew.

Usage: keys.py [--write]
"""

import fractions
import json
import pathlib

from music21 import converter, corpus, roman

from kept import compare_or_write

FILE = pathlib.Path(__file__).parents[1] / "data" / "chorale_keys.json"
# Ticks in a quarter note, as the program counts.
QUARTER = 48
# Letters of the symbol by semitones above the root.
SUFFIXES = {
    (0, 4, 7): "",
    (0, 3, 7): "m",
    (0, 3, 6): "dim",
    (0, 4, 8): "aug",
    (0, 4, 7, 10): "7",
    (0, 4, 7, 11): "maj7",
    (0, 3, 7, 10): "m7",
    (0, 3, 6, 10): "m7b5",
    (0, 3, 6, 9): "dim7",
    (0, 3, 7, 11): "m(maj7)",
    (0, 4, 8, 11): "maj7#5",
    # Without its fifth or its third.
    (0, 4, 10): "7",
    (0, 4, 11): "maj7",
    (0, 3, 10): "m7",
    (0, 4): "",
    (0, 3): "m",
}


def symbol(numeral):
    """The chord as a symbol, over its bass; None for what has none."""
    root = numeral.root()
    above = tuple(sorted({(note.pitchClass - root.pitchClass) % 12 for note in numeral.pitches}))
    if above not in SUFFIXES:
        return None
    name = plain(root.name) + SUFFIXES[above]
    bass = numeral.bass()
    return name if bass.name == root.name else f"{name}/{plain(bass.name)}"


def plain(name):
    """music21's name of a note with b for flats."""
    return name[0].upper() + name[1:].replace("-", "b")


def chorale(path):
    """The chords of a chorale; None where it has a bar of another length."""
    score = converter.parse(path, format="romanText")
    metres = {metre.ratioString for metre in score.recurse().getElementsByClass("TimeSignature")}
    if len(metres) != 1 or not metres <= {"3/4", "4/4"}:
        return None
    (metre,) = metres
    bar = int(metre[0]) * QUARTER
    chords = []
    for numeral in score.recurse().getElementsByClass(roman.RomanNumeral):
        measure = numeral.getContextByClass("Measure")
        name = symbol(numeral)
        if name is None:
            continue
        offset = fractions.Fraction(numeral.beat) - 1
        at = (measure.number - 1) * bar + int(offset * QUARTER)
        key = numeral.key
        chords.append([at, name, f"{plain(key.tonic.name)} {key.mode}", numeral.figure])
    chords.sort(key=lambda chord: chord[0])
    once = [chord for place, chord in enumerate(chords) if not place or chord[0] > chords[place - 1][0]]
    return {"name": path.stem, "metre": metre, "chords": once}


def main():
    folder = pathlib.Path(corpus.__file__).parent / "bach" / "choraleAnalyses"
    pieces = [piece for path in sorted(folder.glob("*.rntxt")) if (piece := chorale(path))]
    rows = []
    for piece in pieces:
        chords = ",\n".join("  " + json.dumps(chord) for chord in piece["chords"])
        head = f'{{"name": "{piece["name"]}", "metre": "{piece["metre"]}", "chords": [\n'
        rows.append(head + chords + "\n]}")
    text = "[\n" + ",\n".join(rows) + "\n]\n"
    compare_or_write(FILE, text, sum(len(piece["chords"]) for piece in pieces))


main()
