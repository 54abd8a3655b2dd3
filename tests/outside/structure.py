"""Opens printed files with pypdf, strictly, and looks at what a reader program would show.

Usage: structure.py a4|letter PAGES_OF_MUSIC FILE.pdf
"""

import json
import sys
import warnings

from pypdf import PdfReader

SIZES = {"a4": (595.276, 841.890), "letter": (612.0, 792.0)}


def entries(outline):
    for entry in outline:
        if isinstance(entry, list):
            yield from entries(entry)
        else:
            yield entry


def main():
    paper, keys, path = sys.argv[1], int(sys.argv[2]), sys.argv[3]
    warnings.simplefilter("error")
    reader = PdfReader(path, strict=True)
    pages = len(reader.pages)
    assert pages >= keys, f"{pages} pages for {keys} keys"
    for page in reader.pages:
        size = (float(page.mediabox.width), float(page.mediabox.height))
        assert all(abs(a - b) < 0.01 for a, b in zip(size, SIZES[paper])), size
        page.extract_text()

    labels = reader.page_labels
    assert len(set(labels)) == pages, f"page labels {labels}"
    outline = list(entries(reader.outline))
    assert len(outline) >= keys, f"{len(outline)} entries in the outline"
    for entry in outline:
        number = reader.get_destination_page_number(entry)
        assert number is not None and 0 <= number < pages, entry.title

    attachments = reader.attachments
    assert len(attachments) == 1, list(attachments)
    (name, (recipe,)), = attachments.items()
    recipe = json.loads(recipe)
    assert len(recipe["keys"]) == keys, recipe["keys"]
    assert reader.metadata.title, "no title"
    print(f"{path}: {pages} pages, labels {labels[0]} to {labels[-1]}, "
          f"{len(outline)} outline entries, {name} attached")


if __name__ == "__main__":
    main()
