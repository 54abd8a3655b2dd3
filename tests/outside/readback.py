"""Reads printed sheets back with libraries that this project did not write.

pdfplumber says which characters, lines and curves stand where on each page; music21 says what
the drill should be, from its own keys, scales and chords. Every key is read from all its pages
as one line of music, and compared note for note: spelled pitch, octave, moment, length. The
sheets of a booklet are cut, folded and leafed through first.

Usage: readback.py [--booklet] DRILL FILE.pdf KEY [KEY ...]
"""

import sys

import pdfplumber
from music21 import chord, key, pitch

HEADS = {"\ue0a2": 8, "\ue0a3": 4, "\ue0a4": 2}  # lengths in eighths, before flags and dots
RESTS = {"\ue4e3": 8, "\ue4e4": 4, "\ue4e5": 2, "\ue4e6": 1}
CLEFS = {"\ue050": ("G", 4), "\ue07a": ("G", 4), "\ue062": ("F", 3), "\ue07c": ("F", 3)}
ALTERS = {"\ue260": -1, "\ue261": 0, "\ue262": 1, "\ue263": 2, "\ue264": -2}
FLAGS = {"\ue240", "\ue241"}
DOT = "\ue1e7"
LETTERS = "CDEFGAB"
DEGREES = [1, 2, 3, 4, 5, 6, 7, 8, 8, 7, 6, 5, 4, 3, 2, 1, 1]
BAR = 8


class Wrong(Exception):
    """What is wrong on a page."""


def diatonic(letter, octave):
    return 7 * octave + LETTERS.index(letter)


class Staff:
    def __init__(self, left, right, ys):
        self.left, self.right = left, right
        self.middle, self.space = ys[2], (ys[0] - ys[4]) / 4
        self.chars, self.stems, self.beams, self.ties = [], [], [], []

    def position(self, y, what):
        halves = 2 * (y - self.middle) / self.space
        if abs(halves - round(halves)) > 0.12:
            raise Wrong(f"{what!r} stands between two positions")
        return round(halves)


class Half:
    """One half of a sheet of a booklet, as a page."""

    def __init__(self, page, is_left):
        self.height, middle = page.height, float(page.width) / 2
        own = lambda thing: ((thing["x0"] + thing["x1"]) / 2 < middle) == is_left
        for kind in ("chars", "lines", "curves", "rects"):
            setattr(self, kind, [thing for thing in getattr(page, kind) if own(thing)])


def leaf_through(sides):
    """The pages of a booklet in reading order, from its printed sides: front, back, front ...

    The sheets lie on one another, the first one outermost, and are folded once. Up to the fold
    one meets the right half of each front and the left half of its back; from there on, sheet by
    sheet outward, the right half of each back and the left half of its front.
    """
    sheets = list(zip(sides[::2], sides[1::2]))
    if 2 * len(sheets) != len(sides):
        raise Wrong("a sheet without a back")
    pages = []
    for front, back in sheets:
        pages += [Half(front, False), Half(back, True)]
    for front, back in reversed(sheets):
        pages += [Half(back, False), Half(front, True)]
    return pages


class Char:
    """A character with its true origin, y upward."""

    def __init__(self, char):
        _, _, _, _, x, y = char["matrix"]
        self.text, self.x, self.y = char["text"], x, y
        self.right = x + char["adv"]


def strokes(page):
    """Straight lines with both ends, y upward."""
    height = float(page.height)
    for line in page.lines:
        (x0, y0), (x1, y1) = [(x, height - y) for x, y in line["pts"][:2]]
        yield x0, y0, x1, y1, line["linewidth"]


def find_staves(page):
    rules = sorted(
        ((min(x0, x1), max(x0, x1), y0) for x0, y0, x1, y1, _ in strokes(page)
         if abs(y0 - y1) < 0.01 and abs(x1 - x0) > 150),
        key=lambda rule: -rule[2],
    )
    staves, at = [], 0
    while at + 5 <= len(rules):
        five = rules[at:at + 5]
        gap = (five[0][2] - five[4][2]) / 4
        even = all(abs(a[2] - b[2] - gap) < 0.03 for a, b in zip(five, five[1:]))
        flush = all(abs(r[0] - five[0][0]) < 0.03 and abs(r[1] - five[0][1]) < 0.03 for r in five)
        if even and flush and 3 < gap < 8:
            staves.append(Staff(five[0][0], five[0][1], [rule[2] for rule in five]))
            at += 5
        else:
            at += 1
    return staves


def share_out(page, staves):
    def nearest(y):
        return min(staves, key=lambda staff: abs(staff.middle - y))

    for char in page.chars:
        if "\ue000" <= char["text"][:1] < "\uf400":
            char = Char(char)
            nearest(char.y).chars.append(char)
    for x0, y0, x1, y1, _ in strokes(page):
        staff = nearest((y0 + y1) / 2)
        if abs(x0 - x1) < 0.01 and abs(y0 - y1) < 9 * staff.space:
            staff.stems.append((x0, min(y0, y1), max(y0, y1)))
    height = float(page.height)
    shapes = [shape for shape in page.curves + page.rects if shape.get("fill")]
    for shape in shapes:
        points = [(x, height - y) for x, y in shape["pts"]]
        low, high = min(y for _, y in points), max(y for _, y in points)
        left, right = min(x for x, _ in points), max(x for x, _ in points)
        staff = nearest((low + high) / 2)
        if right - left < staff.space or left < staff.left \
                or abs((low + high) / 2 - staff.middle) > 9 * staff.space:
            continue
        curved = any(step[0] in ("c", "v", "y") for step in shape.get("path", []))
        if curved:
            tip = lambda x: sum(y for px, y in points if abs(px - x) < 0.05) / sum(
                1 for px, _ in points if abs(px - x) < 0.05)
            staff.ties.append((left, tip(left), right, tip(right)))
        else:
            staff.beams.append((left, low, right, high))


def repeat_dots(page, staff, x):
    """Whether two small dots stand in the middle spaces right beside a place."""
    height, found = float(page.height), 0
    for shape in page.curves:
        points = [(px, height - py) for px, py in shape["pts"]]
        middle = sum(px for px, _ in points) / len(points)
        high = sum(py for _, py in points) / len(points)
        wide = max(px for px, _ in points) - min(px for px, _ in points)
        if wide < 0.7 * staff.space and abs(middle - x) < 1.6 * staff.space \
                and abs(abs(high - staff.middle) - staff.space / 2) < 0.2 * staff.space:
            found += 1
    return found >= 2


def barlines(page, upper, lower):
    """Where bars end, and which of them a repeat begins after or ends at, from 0 for the left."""
    top, foot = upper.middle + 2 * upper.space, lower.middle - 2 * lower.space
    found = sorted(
        x0 for x0, y0, x1, y1, _ in strokes(page)
        if abs(x0 - x1) < 0.01
        and abs(max(y0, y1) - top) < 0.3 * upper.space
        and abs(min(y0, y1) - foot) < 0.3 * upper.space
    )
    if not found or abs(found[0] - upper.left) > 0.3 * upper.space:
        raise Wrong("no line joins the staves at the left")
    heads = [c.x for staff in (upper, lower) for c in staff.chars if c.text in HEADS or c.text in RESTS]
    places = []
    for x in found[1:]:
        if places and x - places[-1][-1] < 1.5 * upper.space:
            places[-1].append(x)
        else:
            places.append([x])
    ends, begun, ended = [], set(), set()
    for lines in places:
        # A repeat may begin behind clef and metre.
        is_first = not ends and lines[-1] < min(heads)
        if not is_first:
            ends.append(lines[-1])
        if len(lines) > 1 and repeat_dots(page, upper, lines[-1] + upper.space / 2):
            begun.add(len(ends))
        if len(lines) > 1 and repeat_dots(page, upper, lines[0] - upper.space / 2):
            ended.add(len(ends))
    return ends, begun, ended


def brackets(page, staff, ends):
    """The bars that stand under the brackets of endings, with the rounds in which they are heard."""
    top = staff.middle + 2 * staff.space
    height, above = float(page.height), []
    for shape in page.curves + page.lines:
        points = [(x, height - y) for x, y in shape["pts"]]
        above += [
            (min(x0, x1), max(x0, x1), y0) for (x0, y0), (x1, y1) in zip(points, points[1:])
            if abs(y0 - y1) < 0.01 and abs(x1 - x0) > 5 * staff.space
            and top + staff.space < y0 < top + 20 * staff.space
        ]
    chars, found = [Char(c) for c in page.chars], {}
    for left, right, high in above:
        under = sorted((c for c in chars if left < c.x < left + 5 * staff.space
                        and 0 < high - c.y < 3 * staff.space), key=lambda c: c.x)
        words = "".join(c.text for c in under)
        if not words.rstrip().endswith("."):
            continue
        rounds = {int(digit) for digit in words if digit.isdigit()}
        for index, end in enumerate(ends):
            begin = ends[index - 1] if index else staff.left
            if left - staff.space < (begin + end) / 2 < right + staff.space:
                found[index] = rounds
    return found


def heard(bars, begun, ended, endings):
    """The bars in the order in which they are heard."""
    order, bar, start, round_ = [], 0, 0, 1
    while bar < bars:
        if bar in begun and bar != start:
            start, round_ = bar, 1
        if bar in endings and round_ not in endings[bar]:
            bar += 1
            continue
        order.append(bar)
        bar += 1
        if bar in ended:
            rounds = max([2] + [max(own) for own in endings.values()])
            if round_ < rounds:
                bar, round_ = start, round_ + 1
            else:
                start, round_ = bar, 1
    return order


def columns(staff):
    """Heads that stand together, with their length in eighths; rests have no heads."""
    space = staff.space
    heads = sorted((c for c in staff.chars if c.text in HEADS), key=lambda c: c.x)
    groups = []
    for head in heads:
        # A second stands on the other side of the stem.
        if groups and head.x - groups[-1][0].right < 0.3 * space:
            groups[-1].append(head)
        else:
            groups.append([head])
    dots = [c for c in staff.chars if c.text == DOT]

    def dotted(right, length):
        return length * 3 // 2 if any(0 < d.x - right < 1.2 * space for d in dots) else length

    found = []
    for group in groups:
        low, high = min(c.y for c in group), max(c.y for c in group)
        edges = [edge for c in group for edge in (c.x, c.right)]
        stems = [
            stem for stem in staff.stems
            if stem[1] < low + 0.4 * space and stem[2] > high - 0.4 * space
            and any(abs(stem[0] - edge) < 0.2 * space for edge in edges)
        ]
        length = HEADS[group[0].text]
        if len(stems) != (0 if length == 8 else 1):
            raise Wrong(f"a head with {len(stems)} stems at x {group[0].x:.1f}")
        if length == 2 and hooked(staff, stems[0]):
            length = 1
        right = max(c.right for c in group)
        found.append([group[0].x, dotted(right, length), group])
    for c in staff.chars:
        if c.text in RESTS:
            found.append([c.x, dotted(c.right, RESTS[c.text]), []])
    return sorted(found, key=lambda item: item[0])


def hooked(staff, stem):
    x, low, high = stem
    near = 0.3 * staff.space
    for c in staff.chars:
        if c.text in FLAGS and abs(c.x - x) < near and min(abs(c.y - low), abs(c.y - high)) < near:
            return True
    return any(
        left - 1 < x < right + 1 and any(foot - 1 < end < top + 1 for end in (low, high))
        for left, foot, right, top in staff.beams
    )


def read_staff(staff, ends, first_eighth, pending, sheet):
    """Notes of one staff of one system: [start, end, step, alter], ties joined across columns."""
    space = staff.space
    chars = sorted(staff.chars, key=lambda c: c.x)
    clefs = []
    for c in chars:
        if c.text in CLEFS:
            letter, octave = CLEFS[c.text]
            line = staff.position(c.y, c.text)
            clefs.append((c.x, diatonic(letter, octave) - line))
            if line != (-2 if letter == "G" else 2):
                raise Wrong("a clef on the wrong line")
    if not clefs:
        raise Wrong("a staff without a clef")
    items = columns(staff)
    metre = [c.x for c in chars if "\ue080" <= c.text <= "\ue089"]
    signs = [
        ((clefs[0][1] + staff.position(c.y, c.text)) % 7, ALTERS[c.text])
        for c in chars if c.text in ALTERS
    ]
    if metre:
        before = sum(1 for c in chars if c.text in ALTERS and c.x < metre[0])
        sheet.setdefault("signature", signs[:before])
    usual_signs = sheet["signature"]
    signs = signs[:len(usual_signs)]
    if usual_signs != signs:
        raise Wrong("signatures differ from staff to staff")
    usual = dict(signs)
    at, index, accidentals, notes, bar = first_eighth, 0, {}, [], sheet["bar"]
    reached = staff.left
    for x, length, group in items:
        while x > ends[index]:
            if at != first_eighth + bar * (index + 1):
                raise Wrong(f"bar {at // bar + 1} does not sum to its metre")
            index, accidentals = index + 1, {}
        middle = [m for from_x, m in clefs if from_x < x][-1]
        column = []
        for head in group:
            where = staff.position(head.y, head.text)
            step, told = middle + where, False
            for c in chars:
                gap = head.x - c.right
                # Of several signs that of the farthest column, but none of the note before.
                if c.text in ALTERS and -0.2 * space < gap < 4.5 * space and c.x > reached \
                        and staff.position(c.y, c.text) == where:
                    accidentals[step], told = ALTERS[c.text], True
            alter = accidentals.get(step, usual.get(step % 7, 0))
            column.append({"y": head.y, "start": at, "end": at + length, "step": step,
                           "alter": alter, "told": told, "in": False, "out": False})
        if group:
            reached = max(c.right for c in group)
            notes.append((x, reached, column))
        at += length
    if at != first_eighth + bar * len(ends):
        raise Wrong("the last bar does not sum to its metre")
    join(staff, notes, pending)
    return [note for _, _, column in notes for note in column]


def join(staff, notes, pending):
    """Marks heads that ties join; `pending` are pitches tied over from the system before."""
    space = staff.space
    came = []

    def head(column, y):
        best = min(column[2], key=lambda note: abs(note["y"] - y))
        if abs(best["y"] - y) > 0.5 * space:
            raise Wrong("a tie meets no head")
        return best

    going = []
    for left, left_y, right, right_y in staff.ties:
        before = [c for c in notes if c[1] <= left + 0.25 and left - c[1] < 1.8 * space]
        # At the start of a system an accidental, told again, may stand between tie and head.
        white = lambda c: 2.6 * space if c is notes[0] else space
        after = [c for c in notes if c[0] >= right - 0.25 and c[0] - right < white(c)]
        a = head(before[-1], left_y) if before else None
        b = head(after[0], right_y) if after else None
        if a and b:
            if not b["told"]:
                # A sign holds for what is tied over the barline too.
                b["alter"] = a["alter"]
            if (a["step"], a["alter"], a["end"]) != (b["step"], b["alter"], b["start"]):
                raise Wrong("a tie joins two pitches")
            a["out"], b["in"] = True, True
        elif a and before[-1] is notes[-1]:
            a["out"] = True
            going.append((a["step"], a["alter"]))
        elif b and after[0] is notes[0]:
            b["in"] = True
            came.append((b["step"], b["alter"]))
        else:
            raise Wrong("a tie meets no head")
    if sorted(came) != sorted(pending):
        raise Wrong("ties over a line break do not match")
    pending[:] = going


def sounds(notes):
    struck = []
    for note in sorted(notes, key=lambda n: (n["start"], n["step"])):
        if note["in"]:
            before = [s for s in struck if s[1] == note["start"] and s[2:] == [note["step"], note["alter"]]]
            if not before:
                raise Wrong("a tie comes in from nowhere")
            before[-1][1] = note["end"]
        else:
            struck.append([note["start"], note["end"], note["step"], note["alter"]])
    return sorted(struck)


def begins(page):
    """Whether music begins on a page, that is, whether its first staves show a metre; None
    without staves."""
    staves = find_staves(page)
    if not staves:
        return None
    first = [Char(c) for c in page.chars if "\ue080" <= c["text"][:1] <= "\ue089"]
    return any(abs(c.y - staves[0].middle) < 3 * staves[0].space for c in first)


def by_key(pages):
    """The pages of music, those of one key together."""
    keys, last = [], None
    for number, page in enumerate(pages):
        begun = begins(page)
        if begun is None:
            continue
        if begun:
            keys.append([page])
        elif last != number - 1:
            raise Wrong(f"page {number + 1} goes on with music that no page before it begins")
        else:
            keys[-1].append(page)
        last = number
    return keys


def read_key(pages):
    """The right and the left hand's notes, the signature, and how long the music is."""
    return read_whole(pages)[:3]


def read_whole(pages):
    """The same, with the length of a bar and the bars as they are heard."""
    hands, pending, sheet, eighth = ([], []), ([], []), {}, 0
    bars, begun, ended, endings = 0, set(), set(), {}
    for page in pages:
        staves = find_staves(page)
        if len(staves) % 2:
            raise Wrong("staves do not come in pairs")
        share_out(page, staves)
        for upper, lower in zip(staves[::2], staves[1::2]):
            if "bar" not in sheet:
                digits = [c for c in upper.chars if "\ue080" <= c.text <= "\ue089"]
                over, under = [
                    int("".join(str(ord(c.text) - 0xe080) for c in sorted(digits, key=lambda c: c.x)
                                if (c.y > upper.middle) == is_over)) for is_over in (True, False)]
                sheet["bar"] = 8 * over // under
            ends, begins_at, ends_at = barlines(page, upper, lower)
            begun |= {bars + bar for bar in begins_at}
            ended |= {bars + bar for bar in ends_at}
            endings.update((bars + bar, own) for bar, own in brackets(page, upper, ends).items())
            bars += len(ends)
            for hand, staff in enumerate((upper, lower)):
                hands[hand].extend(read_staff(staff, ends, eighth, pending[hand], sheet))
            eighth += sheet["bar"] * len(ends)
    if any(pending):
        raise Wrong("a tie leads off the music")
    order = heard(bars, begun, ended, endings)
    return [sounds(hand) for hand in hands], sheet["signature"], eighth, sheet["bar"], order


def music21_name(plain):
    return plain[0] + plain[1:].replace("b", "-")


def drill_chord(tonic, degree, lowest):
    """The seventh on a degree by music21, as steps and alterations from the tonic `lowest` up."""
    scale = key.Key(music21_name(tonic), "major")
    names = [scale.pitchFromDegree((degree - 1 + 2 * third) % 7 + 1).name for third in range(4)]
    seventh = chord.Chord(names)
    if not seventh.isSeventh():
        raise Wrong(f"music21 hears no seventh in {names}")
    step, notes = lowest + degree - 1, []
    for name in names:
        named = pitch.Pitch(name)
        while step % 7 != LETTERS.index(named.step):
            step += 1
        notes.append([step, int(named.alter)])
    return notes


def expected(drill, tonic, lowest):
    short = (0, 8) if drill == "pushed" else ()
    starts = [4 * n - (1 if drill == "pushed" and n not in short else 0) for n in range(17)]
    ends = [starts[n] + 1 if n in short else (starts + [9 * BAR])[n + 1] for n in range(17)]
    right, left = [], []
    for n, degree in enumerate(DEGREES):
        for place, note in enumerate(drill_chord(tonic, degree, lowest[0])):
            start, length = (4 * n, BAR) if n == 16 else (4 * n + place, 1)
            right.append([start, start + length, *note])
        left.extend([starts[n], ends[n], *note] for note in drill_chord(tonic, degree, lowest[1]))
    return [sorted(right), sorted(left)]


def present(wanted, found):
    """What must be there of a hand's notes: a chord that lies low may lack what lies between its
    root and its seventh. (By the low-interval limits of arranging handbooks every seventh chord
    in root position is clear from C3 up.)"""
    c3 = diatonic("C", 3)

    def must(note):
        steps = [other[2] for other in wanted if other[0] == note[0]]
        return note[2] in (min(steps), max(steps)) or min(steps) >= c3 or note in found

    return [note for note in wanted if must(note)]


def check_key(pages, drill, tonic):
    hands, signature, eighths = read_key(pages)
    wanted = [
        (LETTERS.index(p.step), int(p.alter))
        for p in key.Key(music21_name(tonic), "major").alteredPitches
    ]
    if signature != wanted:
        raise Wrong(f"signature {signature}, music21 has {wanted}")
    lowest = [hand[0][2] for hand in hands]
    if lowest[0] <= lowest[1] or (lowest[0] - lowest[1]) % 7:
        raise Wrong("the hands are not whole octaves apart")
    for name, found, whole in zip(("right", "left"), hands, expected(drill, tonic, lowest)):
        right = present(whole, found)
        for a, b in zip(found, right):
            if a != b:
                raise Wrong(f"{name} hand: {a}, music21 has {b}")
        if len(found) != len(right):
            raise Wrong(f"{name} hand: {len(found)} notes, music21 has {len(right)}")
    if eighths != 9 * BAR:
        raise Wrong(f"{eighths} eighths")
    return sum(len(hand) for hand in hands)


def main():
    words = sys.argv[1:]
    is_booklet = "--booklet" in words
    drill, path, *names = [word for word in words if word != "--booklet"]
    passed, failed, notes, music = 0, 0, 0, []
    with pdfplumber.open(path) as file:
        try:
            music = by_key(leaf_through(file.pages) if is_booklet else file.pages)
        except Wrong as wrong:
            print(f"{path}: {wrong!r}")
            failed += 1
        for number, pages in enumerate(music):
            tonic = names[number] if number < len(names) else "?"
            try:
                notes += check_key(pages, drill, tonic)
                passed += 1
            except (Wrong, IndexError, KeyError, ValueError, ZeroDivisionError) as wrong:
                print(f"{path}: key {number + 1} ({tonic}): {wrong!r}")
                failed += 1
    if len(music) < len(names):
        print(f"{path}: no pages for {', '.join(names[len(music):])}")
        failed += 1
    pages = sum(len(key) for key in music)
    print(f"{path}: {notes} notes on {pages} pages compared with music21; "
          f"{passed} keys passed, {failed} failed")
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
