"""Has music21 spell each chord of `tests/data/chord_domain.txt` from its kind and degrees in the
words of MusicXML, and compares the notes.

Usage: chord_domain.py
"""

import pathlib

from music21 import harmony, pitch

FILE = pathlib.Path(__file__).parents[1] / "data" / "chord_domain.txt"
# The standard's words that music21 calls otherwise.
KINDS = {
    "dominant": "dominant-seventh",
    "half-diminished": "half-diminished-seventh",
    "major-minor": "minor-major-seventh",
}
# Words whose eleventh players leave out.
LEFT_OUT = ("dominant-13th", "major-13th")


def plain(name):
    """music21's name of a note with b for flats."""
    return name[0] + name[1:].replace("-", "b")


def flat(name):
    """A plain name as music21 writes it."""
    return name[0] + name[1:].replace("b", "-")


def spelled(root, kind, degrees):
    symbol = harmony.ChordSymbol(root=flat(root), kind=KINDS.get(kind, kind))
    for degree in degrees:
        change, value, alter = degree.split(",")
        alter = int(alter)
        # The standard counts an added seventh from the minor one, music21 from the major one.
        if (change, value) == ("add", "7"):
            alter -= 1
        step = harmony.ChordStepModification(change, int(value), alter)
        symbol.addChordStepModification(step)
    return {plain(note.name) for note in symbol.pitches}


def main():
    count = left_out = 0
    wrong = []
    for line in FILE.read_text().splitlines():
        symbol, standard, notes = line.split("\t")
        root, kind, *degrees = standard.split(" ")
        theirs = spelled(root, kind, degrees)
        ours = set(notes.split(" "))
        # Players leave out the eleventh of a thirteenth chord, but over a minor third.
        eleventh = plain(pitch.Pitch(flat(root)).transpose("P4").name)
        if kind in LEFT_OUT and theirs == ours | {eleventh}:
            left_out += 1
        elif theirs != ours:
            wrong.append(f"{symbol} ({standard}): {sorted(ours)}, music21 has {sorted(theirs)}")
        count += 1
    if wrong:
        raise SystemExit("\n".join(wrong[:40]) + f"\n{len(wrong)} of {count} differ")
    print(f"{count} chords compared with music21, {left_out} of them without its eleventh")


if __name__ == "__main__":
    main()
