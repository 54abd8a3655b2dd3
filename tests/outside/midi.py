"""Compares tracks with the printed sheets they were made from, with libraries that this project did
not write: mido reads the track, pdfplumber the sheet.

Every note that is printed for a hand is struck once in its part, at the pitch that the page shows
and at the pulse that its eighth has by the table of swing, with repeats and endings played out;
nothing else is struck. It ends where the page has it end, but for what is played short and for the
end, which is held.

Usage: midi.py [--swing usual|measured|even] SHEET.pdf TRACK.mid TEMPO
"""

import sys

import mido
import pdfplumber

from readback import LETTERS, Wrong, by_key, read_whole

SEMITONES = dict(zip(LETTERS, (0, 2, 4, 5, 7, 9, 11)))
QUARTER = 480
MODES = {"major", "minor", "dorian", "phrygian", "lydian", "mixolydian", "aeolian", "locrian"}
# Friberg and Sundstroem 2002: the second eighth keeps to 100 ms; pulses of the off-beat, by tempo.
TABLE = {60: 373, 120: 373, 140: 368, 160: 352, 180: 336, 200: 320, 220: 304, 240: 288, 260: 272,
         280: 256, 300: 240}


def off_beat(tempo, swing):
    """When the off-beat is struck, from its beat on."""
    if swing == "even":
        return QUARTER // 2
    ratio = min(max(600 / tempo - 1, 1), 3.5)
    measured = round(QUARTER * ratio / (1 + ratio))
    if tempo in TABLE and measured != TABLE[tempo]:
        raise Wrong(f"the table has {TABLE[tempo]} at {tempo}")
    return measured if swing == "measured" else min(measured, 2 * QUARTER // 3)


def midi_of(step, alter):
    return 12 * (step // 7 + 1) + SEMITONES[LETTERS[step % 7]] + alter


def strokes(track):
    """What a track strikes: moment, end, pitch."""
    now, sounding, found = 0, {}, []
    for message in track:
        now += message.time
        if message.type == "note_on" and message.velocity > 0:
            if message.note in sounding:
                raise Wrong(f"pitch {message.note} is struck while it sounds, at {now}")
            sounding[message.note] = now
        elif message.type in ("note_off", "note_on"):
            found.append((sounding.pop(message.note), now, message.note))
    if sounding:
        raise Wrong(f"pitches {sorted(sounding)} never end")
    return sorted(found)


def places(track):
    """Where each key begins, by its marker."""
    now, found = 0, []
    for message in track:
        now += message.time
        if message.type == "marker" and message.text.split()[-1] in MODES:
            found.append((now, message.text))
    return found


def check_conductor(track, tempo, bar):
    told = {message.type: message for message in track if message.is_meta}
    if told["set_tempo"].tempo != round(60_000_000 / tempo):
        raise Wrong(f"{told['set_tempo'].tempo} microseconds a quarter")
    metre = told["time_signature"]
    if 8 * metre.numerator != bar * metre.denominator:
        raise Wrong(f"metre {metre.numerator}/{metre.denominator}")


def played_out(hand, bar, order):
    """The notes of a hand with all repeats."""
    return sorted(
        [start + (place - own) * bar, end + (place - own) * bar, step, alter]
        for place, own in enumerate(order)
        for start, end, step, alter in hand if start // bar == own
    )


def check_part(printed, struck, start, off, last):
    """One hand in one key: the notes of the page against those of the track."""
    pulse = lambda eighth: start + eighth // 2 * QUARTER + (off if eighth % 2 else 0)
    wanted = sorted((pulse(at), pulse(end), midi_of(step, alter))
                    for at, end, step, alter in printed)
    if len(wanted) != len(struck):
        raise Wrong(f"{len(struck)} strokes for {len(wanted)} printed notes")
    for (at, end, pitch), (struck_at, struck_end, struck_pitch) in zip(wanted, struck):
        if (at, pitch) != (struck_at, struck_pitch):
            raise Wrong(f"{struck_pitch} at {struck_at}, printed {pitch} at {at}")
        is_held = end == pulse(last) and struck_end > end
        if struck_end != end and struck_end - at != (end - at) // 2 and not is_held:
            raise Wrong(f"{pitch} at {at} ends at {struck_end}, printed {end}")


def main():
    words = sys.argv[1:]
    swing = "usual"
    if words[0] == "--swing":
        swing, words = words[1], words[2:]
    sheet, track, tempo = words[0], words[1], int(words[2])
    file = mido.MidiFile(track)
    if file.type != 1 or file.ticks_per_beat != QUARTER:
        raise Wrong(f"format {file.type}, {file.ticks_per_beat} pulses in a quarter")
    starts = places(file.tracks[0])
    parts = {part.name: strokes(part) for part in file.tracks[2:]}
    off, notes = off_beat(tempo, swing), 0
    with pdfplumber.open(sheet) as printed:
        keys = by_key(printed.pages)
        if len(keys) != len(starts):
            raise Wrong(f"{len(starts)} keys for {len(keys)} that are printed")
        for index, ((start, _), pages) in enumerate(zip(starts, keys)):
            hands, _, _, bar, order = read_whole(pages)
            hands, eighths = [played_out(hand, bar, order) for hand in hands], bar * len(order)
            check_conductor(file.tracks[0], tempo, bar)
            end = starts[index + 1][0] if index + 1 < len(starts) else float("inf")
            for name, hand in zip(("piano, right hand", "piano, left hand"), hands):
                own = [stroke for stroke in parts[name] if start <= stroke[0] < end]
                check_part(hand, own, start, off, eighths)
                notes += len(own)
            if end != float("inf") and end - start != (eighths + bar) * QUARTER // 2:
                raise Wrong(f"{end - start} pulses from key to key")
    if sum(len(part) for name, part in parts.items() if name.startswith("piano")) != notes:
        raise Wrong("notes outside all keys")
    print(f"{track}: {notes} notes of {len(starts)} keys as printed, off-beats at {off}")


if __name__ == "__main__":
    try:
        main()
    except Wrong as wrong:
        sys.exit(f"{' '.join(sys.argv[1:])}: {wrong}")
