"""Reads the code at the foot of a sheet from its pages as they are printed (zbarimg), and its size.

usage: code.py FILE.pdf ADDRESS PAGES
Each of the last PAGES pages must show one code, which reads as ADDRESS, at least 18 mm wide.
"""

import re
import subprocess
import sys
import tempfile
from pathlib import Path

DOTS = 200
MM = DOTS / 25.4


def main():
    path, address, pages = sys.argv[1], sys.argv[2], int(sys.argv[3])
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(["pdftoppm", "-r", str(DOTS), "-gray", "-png", path, f"{folder}/page"], check=True)
        drawn = sorted(Path(folder).glob("page*.png"))
        read = 0
        for page in drawn[-pages:]:
            found = subprocess.run(
                ["zbarimg", "--quiet", "--xml", "-Sdisable", "-Sqrcode.enable", str(page)],
                capture_output=True,
                text=True,
            ).stdout
            words = re.findall(r"<!\[CDATA\[(.*?)\]\]>", found)
            assert words == [address], (page.name, words)
            # The reader gives the corners of the code.
            corners = re.search(r"points='([^']*)'", found)
            assert corners, found
            points = [tuple(map(int, point.lstrip("+").split(",+"))) for point in corners[1].split()]
            across = [axis for axis in zip(*points)]
            sides = [(max(axis) - min(axis) + 1) / MM for axis in across]
            assert min(sides) >= 17.5, (page.name, sides)
            read += 1
    print(f"{read} codes read, as told")


main()
