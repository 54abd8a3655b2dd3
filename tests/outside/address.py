"""Reads the code at the foot of a sheet from its pages as they are printed (zbarimg).

usage: address.py FILE.pdf ADDRESS PAGES
Each of the last PAGES pages must show one code, which reads as ADDRESS.
"""

import re
import subprocess
import sys
import tempfile
from pathlib import Path

DOTS = 200


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
            read += 1
    print(f"{read} codes read, as told")


main()
