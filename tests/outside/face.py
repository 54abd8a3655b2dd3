"""Looks at the music face with fontTools and the OpenType sanitiser.

Usage: face.py FACE.otf METADATA.json
"""

import json
import sys
import tempfile

import ots
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont


def main():
    path, metadata = sys.argv[1:]
    with tempfile.NamedTemporaryFile(suffix=".ttf") as clean:
        ots.sanitize(path, clean.name, check=True)
    face = TTFont(path)
    for table in face.keys():
        if table != "GlyphOrder":
            face[table]  # decompiles it
    with open(metadata, encoding="utf-8") as file:
        facts = json.load(file)
    assert facts["fontName"] == face["name"].getDebugName(1), "the name differs"
    space = face["head"].unitsPerEm / 4
    glyphs = face.getGlyphSet()
    codes = {name: code for code, name in face.getBestCmap().items()}
    compared = 0
    for name, box in facts["glyphBBoxes"].items():
        assert name in glyphs, f"{name} has a box but no glyph"
        own = facts["optionalGlyphs"].get(name)
        if own:
            assert own["codepoint"] == f"U+{codes[name]:X}", f"{name} at {codes[name]:X}"
        assert (codes[name] > 0xF3FF) == bool(own), f"{name} at {codes[name]:X}"
        assert 0xE000 <= codes[name] <= 0xF8FF, f"{name} at {codes[name]:X}"
        pen = BoundsPen(glyphs)
        glyphs[name].draw(pen)
        found = [n / space for n in pen.bounds]
        told = [*box["bBoxSW"], *box["bBoxNE"]]
        assert all(abs(a - b) < 0.006 for a, b in zip(found, told)), (name, found, told)
        compared += 1
    assert compared >= 60, f"only {compared} glyphs"
    print(f"{path}: {compared} glyphs, boxes as told, clean")


if __name__ == "__main__":
    main()
