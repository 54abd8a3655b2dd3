"""Keeps a listing of chords that music21 spells: compares the file with it, or writes it anew."""

import sys


def compare_or_write(file, text, count):
    """Compares byte for byte, or writes where the command line says --write."""
    if sys.argv[1:] == ["--write"]:
        file.write_text(text)
        print(f"{count} chords written")
    elif file.read_text() == text:
        print(f"{count} chords compared with music21")
    else:
        raise SystemExit(f"{file} differs from music21; {sys.argv[0]} --write makes it anew")
