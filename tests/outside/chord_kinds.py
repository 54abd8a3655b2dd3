"""Spells chords of every kind on every root with music21, for `tests/data/chord_kinds.json`.

Compares the file with what music21 says, byte for byte, or writes it anew.

Usage: chord_kinds.py [--write]
"""

import json
import pathlib

from music21 import harmony, pitch

from kept import compare_or_write

FILE = pathlib.Path(__file__).parents[1] / "data" / "chord_kinds.json"
# Our names of the kinds, and music21's.
KINDS = {
    "major-seventh": "major-seventh",
    "dominant-seventh": "dominant-seventh",
    "minor-seventh": "minor-seventh",
    "half-diminished": "half-diminished-seventh",
    "diminished-seventh": "diminished-seventh",
    "minor-major": "minor-major-seventh",
    "augmented-major-seventh": "augmented-major-seventh",
    "augmented-seventh": "augmented-seventh",
    "major-sixth": "major-sixth",
    "minor-sixth": "minor-sixth",
}
# Chords that would need more than double signs are left out.
MOST_SIGNS = 2


def plain(name):
    """music21's name of a note with b for flats."""
    return name[0] + name[1:].replace("-", "b")


def spelled(root, kind):
    symbol = harmony.ChordSymbol(root=root, kind=kind)
    notes = sorted(symbol.pitches, key=lambda note: note.diatonicNoteNum)
    if notes[0].name != root.name or len(notes) != 4:
        raise SystemExit(f"music21 has {notes} for {kind} on {root}")
    return notes


def listing():
    kinds = {}
    for ours, theirs in KINDS.items():
        kinds[ours] = {}
        for letter in "CDEFGAB":
            for sign in ("--", "-", "", "#", "##"):
                root = pitch.Pitch(letter + sign)
                notes = spelled(root, theirs)
                if all(abs(note.alter) <= MOST_SIGNS for note in notes):
                    kinds[ours][plain(root.name)] = [plain(note.name) for note in notes]
    return kinds


def text(kinds):
    rows = [
        json.dumps(kind) + ": {\n" + ",\n".join(
            f"  {json.dumps(root)}: {json.dumps(notes)}" for root, notes in roots.items()
        ) + "\n}"
        for kind, roots in kinds.items()
    ]
    return "{\n" + ",\n".join(rows) + "\n}\n"


def main():
    kinds = listing()
    count = sum(len(roots) for roots in kinds.values())
    compare_or_write(FILE, text(kinds), count)


if __name__ == "__main__":
    main()
