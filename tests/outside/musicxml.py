"""Judges files of notes with libraries that this project did not write.

The schema of MusicXML 4.0 (of the World Wide Web Consortium, as the package `musicxml` carries it)
says whether a file is one. music21 and partitura read it, each by itself, and must find the same
notes as stand in it. A printed sheet of the same music is read by pdfplumber, as readback.py does:
notes, ties, fingers, chord symbols, bars and lines of the file must be those of the page.

Usage: musicxml.py schema FILE.musicxml [FILE.musicxml ...]
       musicxml.py read FILE.musicxml [FILE.musicxml ...]
       musicxml.py page FILE.musicxml FILE.pdf
       musicxml.py faults FILE.musicxml FILE.pdf
"""

import copy
import importlib.metadata
import pathlib
import sys
import warnings
import xml.etree.ElementTree as etree
import zipfile

import pdfplumber
import xmlschema

import readback
from readback import Wrong

DIVISIONS = 480
EIGHTH = DIVISIONS // 2
LETTERS = readback.LETTERS
FINGERS = {chr(0xED10 + finger): finger for finger in range(1, 6)}
# What a page has in place of letters of a symbol.
SIGNS = {"\ued60": "♭", "\ued62": "♯", "\ued63": "♯♯", "\ued64": "♭♭", "\ue870": "°", "\ue871": "ø", "\ue872": "+", "\ue873": "△",
         "\ue874": "-"}
# The kinds of sevenths that a major scale has, as they are printed.
KINDS = {"maj7": "major-seventh", "m7": "minor-seventh", "7": "dominant", "ø7": "half-diminished"}


def schema():
    # Not imported: this file has the name of the package.
    package = importlib.metadata.distribution("musicxml")
    folder = pathlib.Path(package.locate_file("musicxml/generate_classes"))
    own = pathlib.Path(xmlschema.__file__).parent / "schemas"
    # The schema names these by address; nothing is fetched.
    locations = {
        "http://www.w3.org/XML/1998/namespace": str(own / "XML" / "xml.xsd"),
        "http://www.w3.org/1999/xlink": str(own / "XLINK" / "xlink.xsd"),
    }
    return xmlschema.XMLSchema(
        str(folder / "musicxml_4_0.xsd"), locations=locations, allow="local",
        use_location_hints=False)


def load(path):
    """The root of a plain or a packed file."""
    if path.endswith(".mxl"):
        with zipfile.ZipFile(path) as packed:
            if packed.testzip() or packed.namelist()[0] != "mimetype":
                raise Wrong("no packed file")
            place = etree.fromstring(packed.read("META-INF/container.xml"))
            return etree.fromstring(packed.read(place.find("rootfiles/rootfile").get("full-path")))
    return etree.parse(path).getroot()


class Key:
    """What a file says of one key, moments in divisions from its first bar."""

    def __init__(self):
        self.hands = ([], [])
        self.fingers = ([], [])
        self.symbols, self.lines, self.bars, self.pages, self.end = [], [], 0, 0, 0


def whole(node, path, usual=None):
    found = node.findtext(path)
    return usual if found is None else int(found)


def name(node, of):
    alter = whole(node, f"{of}/{of}-alter", 0)
    return node.findtext(f"{of}/{of}-step") + ("♭" * -alter if alter < 0 else "♯" * alter)


def read_keys(root):
    """The keys of a file; errors where bars are not full or ties do not meet."""
    keys, key, start = [], None, 0
    bar = 0
    for measure in root.find("part"):
        if measure.get("number") == "1":
            key = Key()
            keys.append(key)
            start = 0
        if key is None or measure.get("number") != str(key.bars + 1):
            raise Wrong("bars are not counted from 1")
        time = measure.find("attributes/time")
        if time is not None:
            bar = whole(time, "beats") * 4 * DIVISIONS // whole(time, "beat-type")
        read_bar(measure, key, start, bar)
        start += bar
        key.bars, key.end = key.bars + 1, start
    for key in keys:
        for hand in key.hands:
            ties = [sorted((note[moment], note["step"], note["alter"]) for note in hand if note[tie])
                    for tie, moment in (("out", "end"), ("in", "start"))]
            if ties[0] != ties[1]:
                raise Wrong("a tie leads nowhere or comes from nowhere")
    return keys


def read_bar(measure, key, start, bar):
    at, last, sums = start, start, [0, 0]
    for node in measure:
        if node.tag == "print":
            key.lines.append(key.bars)
            key.pages += node.get("new-page") == "yes"
        elif node.tag == "backup":
            at -= whole(node, "duration")
        elif node.tag == "harmony":
            moment = at + whole(node, "offset", 0)
            bass = f"/{name(node, 'bass')}" if node.find("bass") is not None else ""
            kind = node.find("kind")
            text = name(node, "root") + kind.get("text", "") + bass
            key.symbols.append((moment, text, kind.get("text", ""), kind.text))
        elif node.tag == "note":
            hand = whole(node, "staff") - 1
            length = whole(node, "duration")
            if node.find("chord") is None:
                last, at = at, at + length
                sums[hand] += length
                key.fingers[hand].append((last, []))
            ties = {tie.get("type") for tie in node.findall("tie")}
            if ties != {tie.get("type") for tie in node.findall("notations/tied")}:
                raise Wrong("a tie sounds where none is seen")
            if node.find("pitch") is not None:
                step = readback.diatonic(node.findtext("pitch/step"), whole(node, "pitch/octave"))
                key.hands[hand].append({
                    "start": last, "end": last + length, "step": step,
                    "alter": whole(node, "pitch/alter", 0),
                    "in": "stop" in ties, "out": "start" in ties})
            finger = whole(node, "notations/technical/fingering")
            if finger:
                key.fingers[hand][-1][1].append(finger)
    if sums != [bar, bar] or at != start + bar:
        raise Wrong(f"bar {key.bars + 1} is not full: {sums} of {bar}")


def joined(key):
    return [readback.sounds([dict(note) for note in hand]) for hand in key.hands]


# Other readers.

def by_music21(path):
    """All notes of each hand as music21 reads them: moment, length, name, octave, ties, finger."""
    from music21 import articulations, converter, harmony
    score = converter.parse(path, forceSource=True)
    hands = []
    for part in score.parts:
        notes, start = [], 0
        for measure in part.getElementsByClass("Measure"):
            for element in measure.recurse().notes:
                if isinstance(element, harmony.ChordSymbol):
                    continue
                at = start + element.getOffsetInHierarchy(measure)
                for note in getattr(element, "notes", [element]):
                    tie = note.tie.type if note.tie else ""
                    notes.append((
                        round(float(at) * DIVISIONS), round(float(element.quarterLength) * DIVISIONS),
                        readback.diatonic(note.pitch.step, note.pitch.octave),
                        int(note.pitch.alter), tie in ("stop", "continue"),
                        tie in ("start", "continue")))
            start += measure.barDuration.quarterLength
        fingers = [int(mark.fingerNumber) for element in part.recurse().notes
                   for mark in element.articulations if isinstance(mark, articulations.Fingering)]
        hands.append((sorted(notes), fingers))
    symbols = [(symbol.root().name.replace("-", "♭").replace("#", "♯"), symbol.chordKind)
               for symbol in score.recurse().getElementsByClass("ChordSymbol")]
    return hands, symbols


def by_partitura(path):
    """All sounds as partitura reads them, ties joined: moment, length, MIDI pitch, staff."""
    import partitura
    notes = partitura.load_musicxml(path).note_array(include_staff=True)
    return sorted(
        (int(note["onset_div"]), int(note["duration_div"]), int(note["pitch"]), int(note["staff"]))
        for note in notes)


def midi(step, alter):
    return 12 * (step // 7 + 1) + (0, 2, 4, 5, 7, 9, 11)[step % 7] + alter


def check_readers(path, keys):
    """Errors where music21 or partitura finds other notes than stand in the file."""
    starts, start = [], 0
    for key in keys:
        starts.append(start)
        start += key.end
    hands, symbols = by_music21(path)
    for hand in (0, 1):
        own = sorted(
            (note["start"] + start, note["end"] - note["start"], note["step"], note["alter"],
             note["in"], note["out"])
            for key, start in zip(keys, starts) for note in key.hands[hand])
        differs(f"music21, hand {hand + 1}", own, hands[hand][0])
        own = [finger for key in keys for _, all in key.fingers[hand] for finger in all]
        differs(f"music21, fingers of hand {hand + 1}", sorted(own), sorted(hands[hand][1]))
    own = [(text[:1 + signs(text)], alias(kind))
           for key in keys for _, text, _, kind in key.symbols]
    differs("music21, symbols", sorted(own), sorted(symbols))
    own = sorted(
        (s + start, e - s, midi(step, alter), hand + 1)
        for key, start in zip(keys, starts) for hand, notes in enumerate(joined(key))
        for s, e, step, alter in notes)
    differs("partitura", own, by_partitura(path))


def signs(text):
    """How many signs the root of a symbol has."""
    return len(text[1:]) - len(text[1:].lstrip(text[1:2])) if text[1:2] in ("♭", "♯") else 0


def alias(kind):
    """What music21 calls a kind."""
    from music21 import harmony
    return harmony.CHORD_ALIASES.get(kind, kind)


def differs(who, own, found):
    for a, b in zip(own, found):
        if a != b:
            raise Wrong(f"{who}: {b}, the file has {a}")
    if len(own) != len(found):
        raise Wrong(f"{who}: {len(found)}, the file has {len(own)}")


# The page.

class Sheet:
    """What a page says of one key, moments in eighths."""

    def __init__(self):
        self.fingers, self.symbols, self.lines = ([], []), [], []


def read_marks(pages):
    """Fingers by moment, symbols by bar, and the bars that lines begin with."""
    sheet, bar = Sheet(), 0
    for page in pages:
        staves = readback.find_staves(page)
        readback.share_out(page, staves)
        above = float(page.height)
        for upper, lower in zip(staves[::2], staves[1::2]):
            ends, _, _ = readback.barlines(page, upper, lower)
            sheet.lines.append(bar)
            for hand, staff in enumerate((upper, lower)):
                read_fingers(staff, bar * readback.BAR, sheet.fingers[hand])
            for x, text in read_symbols(page, upper, above):
                sheet.symbols.append((bar + sum(end < x for end in ends), text))
            bar += len(ends)
            above = lower.middle - 2 * lower.space
    return sheet


def read_fingers(staff, at, fingers):
    columns = []
    for x, length, group in readback.columns(staff):
        if group:
            middle = (min(c.x for c in group) + max(c.right for c in group)) / 2
            columns.append((middle, at, []))
        at += length
    digits = sorted((c for c in staff.chars if c.text in FINGERS), key=lambda c: c.y)
    for digit in digits:
        middle = (digit.x + digit.right) / 2
        nearest = min(columns, key=lambda column: abs(column[0] - middle))
        if abs(nearest[0] - middle) > 1.3 * staff.space:
            raise Wrong("a finger without a note")
        nearest[2].append(FINGERS[digit.text])
    fingers.extend((at, all) for _, at, all in columns if all)


def read_symbols(page, upper, above):
    """The symbols over a staff, each with where it begins."""
    top = upper.middle + 2 * upper.space
    own = []
    for char in page.chars:
        at = readback.Char(char)
        is_own = "Semibold" in char["fontname"] or at.text in SIGNS
        if is_own and top < at.y < min(above, top + 14 * upper.space):
            own.append((at.x, at.y, SIGNS.get(at.text, at.text), char["size"]))
    # Symbols are the row next to the staff; the head of a further page stands higher.
    lowest = min((y for _, y, text, _ in own if text in LETTERS), default=0)
    own = sorted(char for char in own if char[1] < lowest + 4.5 * upper.space)
    largest = max((size for _, _, text, size in own if text in LETTERS), default=0)
    symbols = []
    for x, _, text, size in own:
        begins = text in LETTERS and size > largest - 0.1
        if begins and not (symbols and symbols[-1][1].endswith("/")):
            symbols.append([x, ""])
        if not symbols:
            raise Wrong(f"{text!r} above a staff is no symbol")
        symbols[-1][1] += text
    return symbols


def check_page(keys, music):
    """Errors where a file says anything else than its printed sheets."""
    if len(keys) != len(music):
        raise Wrong(f"{len(keys)} keys, {len(music)} on paper")
    notes = 0
    for key, (hands, eighths, sheet) in zip(keys, music):
        if eighths * EIGHTH != key.end:
            raise Wrong("the music is not as long as on paper")
        for hand, (own, found) in enumerate(zip(joined(key), hands)):
            own = [[start / EIGHTH, end / EIGHTH, *pitch] for start, end, *pitch in own]
            differs(f"the page, hand {hand + 1}", own, found)
            notes += len(found)
        for hand in (0, 1):
            own = [(at / EIGHTH, all) for at, all in key.fingers[hand] if all]
            differs(f"the page, fingers of hand {hand + 1}", own, sheet.fingers[hand])
        bar = key.end // key.bars
        own = [(at // bar, text) for at, text, _, _ in key.symbols]
        differs("the page, symbols", own, sheet.symbols)
        struck = {note["start"] for note in key.hands[1] if not note["in"]}
        for at, text, suffix, kind in key.symbols:
            if KINDS.get(suffix) != kind:
                raise Wrong(f"{text} is no {kind}")
            if at not in struck:
                raise Wrong(f"{text} stands where no chord is struck")
        lines = [line for line in key.lines if line]
        differs("the page, lines", lines, [line for line in sheet.lines if line])
    return notes


def printed(path):
    """Each key as its pages have it: the notes of both hands, how long they are, and the rest."""
    music = []
    with pdfplumber.open(path) as file:
        for pages in readback.by_key(file.pages):
            hands, _, eighths = readback.read_key(pages)
            music.append((hands, eighths, read_marks(pages)))
    return music


def facts(root, judge):
    """What a file says, judged by the schema."""
    problem = next(judge.iter_errors(etree.ElementTree(root)), None)
    if problem is not None:
        raise Wrong(f"no MusicXML: {problem.reason}")
    return read_keys(root)


# Faults.

def first(root, path, having=None):
    return next(node for node in root.iter(path) if having is None or node.find(having) is not None)


def put(node, path, text):
    node.find(path).text = text


def swapped(root):
    note = first(root, "note")
    duration, voice = note.find("duration"), note.find("voice")
    note.remove(voice)
    note.insert(list(note).index(duration), voice)


def untied(root):
    note = first(root, "note", "tie")
    note.remove(note.find("tie"))
    note.find("notations").remove(note.find("notations/tied"))


def displaced(root):
    harmony = first(root, "harmony")
    offset = etree.Element("offset")
    offset.text = str(EIGHTH)
    harmony.insert(list(harmony).index(harmony.find("staff")), offset)


def broken(root):
    for measure in root.find("part"):
        line = measure.find("print")
        if line is not None:
            measure.remove(line)
            return


FAULTS = {
    "an unknown element": lambda root: setattr(first(root, "duration"), "tag", "length"),
    "a note H": lambda root: put(first(root, "pitch"), "step", "H"),
    "elements out of order": swapped,
    "an unknown accidental": lambda root: setattr(
        etree.SubElement(first(root, "time"), "accidental"), "text", "flatt"),
    "no list of parts": lambda root: root.remove(root.find("part-list")),
    "a part that is not listed": lambda root: root.find("part").set("id", "P9"),
    "a note without a length": lambda root: first(root, "note").remove(
        first(root, "note").find("duration")),
    "a bar too long": lambda root: put(first(root, "note"), "duration", "480"),
    "a note an octave higher": lambda root: put(first(root, "pitch"), "octave", "6"),
    "a note in another spelling": lambda root: put(first(root, "pitch", "alter"), "alter", "1"),
    "a tie left out": untied,
    "another finger": lambda root: setattr(first(root, "fingering"), "text", "4"),
    "another kind of chord": lambda root: put(first(root, "harmony"), "kind", "augmented"),
    "another symbol": lambda root: first(root, "kind").set("text", "maj9"),
    "another root": lambda root: put(first(root, "root"), "root-step", "A"),
    "a symbol out of place": displaced,
    "a line that does not end": broken,
}


def main():
    command, *paths = sys.argv[1:]
    warnings.simplefilter("ignore")
    judge = schema()
    if command in ("schema", "read"):
        for path in paths:
            keys = facts(load(path), judge)
            notes = sum(len(hand) for key in keys for hand in key.hands)
            if command == "read":
                check_readers(path, keys)
            others = {"schema": "the schema", "read": "music21 and partitura"}
            print(f"{path}: {notes} notes in {len(keys)} keys compared with {others[command]}")
        return
    path, pdf = paths
    root, music = load(path), printed(pdf)
    notes = check_page(facts(root, judge), music)
    if command == "page":
        print(f"{path}: {notes} notes in {len(music)} keys compared with the page and music21")
        return
    passed = []
    for what, fault in FAULTS.items():
        other = copy.deepcopy(root)
        fault(other)
        try:
            check_page(facts(other, judge), music)
            passed.append(what)
        except (Wrong, AttributeError, KeyError, TypeError):
            pass
    if passed:
        raise SystemExit(f"{path}: not refused: {', '.join(passed)}")
    print(f"{path}: {len(FAULTS)} faults, all refused")


if __name__ == "__main__":
    try:
        main()
    except Wrong as wrong:
        raise SystemExit(repr(wrong))
