"""Writes music21's table of chord kinds, each with the ways it writes them and with its notes on
every root, for `tests/data/chord_table.json`.

Compares the file with what music21 says, byte for byte, or writes it anew.

Usage: chord_table.py [--write]
"""

import json
import pathlib

from music21 import harmony, interval, pitch

from kept import compare_or_write

FILE = pathlib.Path(__file__).parents[1] / "data" / "chord_table.json"
# Notes with more than double signs are left out, and so is what has no plain symbol.
MOST_SIGNS = 2
# Semitones of the degrees of the table above the root, unaltered.
MAJOR = {1: 0, 2: 2, 3: 4, 4: 5, 5: 7, 6: 9, 7: 11, 9: 14, 11: 17, 13: 21}


def plain(name):
    """music21's name of a note with b for flats."""
    return name[0] + name[1:].replace("-", "b")


def spelled(root, degrees):
    """The notes of a row of the table, each by music21's interval of its degree."""
    notes = []
    for degree in degrees.split(","):
        number = int(degree.strip("-#"))
        alter = degree.count("#") - degree.count("-")
        generic = interval.GenericInterval(number)
        step = interval.intervalFromGenericAndChromatic(generic, MAJOR[number] + alter)
        notes.append(step.transposePitch(root))
    return notes


def listing():
    kinds = {}
    for kind, (degrees, written) in harmony.CHORD_TYPES.items():
        notes = {}
        for letter in "CDEFGAB":
            for sign in ("--", "-", "", "#", "##"):
                root = pitch.Pitch(letter + sign + "3")
                own = spelled(root, degrees)
                # music21 makes the same chord of the name of the kind.
                made = {note.name for note in harmony.ChordSymbol(root=root.name, kind=kind).pitches}
                if {note.name for note in own} != made:
                    raise SystemExit(f"music21 has two spellings of {kind} on {root.name}: {made}")
                if all(abs(note.alter) <= MOST_SIGNS for note in own):
                    notes[plain(root.name)] = " ".join(plain(note.name) for note in own)
        kinds[kind] = {"written": written, "notes": notes}
    return kinds


def text(kinds):
    rows = []
    for kind, row in kinds.items():
        notes = ",\n".join(
            f"  {json.dumps(root)}: {json.dumps(notes)}" for root, notes in row["notes"].items()
        )
        written = json.dumps(row["written"], ensure_ascii=False)
        rows.append(f'{json.dumps(kind)}: {{"written": {written}, "notes": {{\n{notes}\n}}}}')
    return "{\n" + ",\n".join(rows) + "\n}\n"


def main():
    kinds = listing()
    count = sum(len(row["notes"]) for row in kinds.values())
    compare_or_write(FILE, text(kinds), count)


if __name__ == "__main__":
    main()
