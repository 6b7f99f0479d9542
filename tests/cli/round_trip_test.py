#!/usr/bin/env python3
"""strip(attach(n)) == n and attach(attach(n)) == attach(n), for every note and option set."""

import sys

sys.dont_write_bytecode = True

import concurrent.futures
import itertools
import os
import random
import re

import support

SEED = 20261
HOSTILE = 80 if support.SANITIZED else 800
OPTION_SETS = [
    list(stamp + brief + form + built)
    for stamp, brief, form, built in itertools.product(
        ((), ("--no-stamp",)), ((), ("--brief",)), ((), ("--as", "markdown")),
        ((), ("--built", "1956"), ("--built", "2015")))
]

LINE_ENDS = [b"\n", b"\r\n", b"\n\n", b"\r\n\r\n", b"\r", b"\n\r", b"\n \n", b"\n\t\n", b"\r\r\n", b""]
MARKS = [b"- ", b"* ", b"\xe2\x80\xa2 ", b"1. ", b"(a) ", b"> ", b"# ", b"Attic: ", b"BASEMENT\n", b"> > "]
ODD = [b"\0", b"\xff", b"\xc3", b"\xed\xa0\x80", b"\xef\xbb\xbf", b"\xf4\x90\x80\x80", b"\x1b[31m", b"\t",
       b"\x0b", b"\x0c", b"\xc2\x85", b"\xe2\x80\xa8", b"\\", b"**", b"`", b"\xf0\x9f\x8f\x9a"]
BLOCKS = [
    b"Asbestos caution: Vinyl floor tile\n",
    b"Asbestos caution: Vinyl floor tile\nSquare tile, seen by me.\n",
    b"Asbestos caution: ",
    b"Asbestos caution:\n",
    b"Asbestos caution: Paper wrap on ducts and register boots\nLeave the wrap undisturbed.\n"
    b"[duct-paper-wrap; letbe corpus 2026.11+00000000; 00000000]\n",
    b"[duct-paper-wrap; letbe corpus 2026.11+00000000; 591c2912]\n",
    b"> **Asbestos caution: Vinyl floor tile**\\\n> Square tile.\\\n> `[vinyl-floor-tile; letbe corpus x; 12345678]`\n",
    b"> **Asbestos caution: Vinyl floor tile**\\\n",
    b"**Asbestos caution: Vinyl floor tile**\n",
]


def eval_notes():
    return [note["text"].encode("utf-8") for note in support.load_notes()]


def hostile_notes(count):
    """Seeded splices of labelled notes with what breaks a note reader."""
    chance = random.Random(SEED)
    notes = eval_notes()
    pieces = [sentence for note in notes for sentence in re.split(rb"(?<=[.;]) ", note)]
    for _ in range(count):
        parts = []
        for _ in range(chance.randint(1, 9)):
            kind = chance.random()
            if kind < 0.5:
                parts.append(chance.choice(MARKS) if chance.random() < 0.4 else b"")
                parts.append(chance.choice(pieces))
            elif kind < 0.6:
                parts.append(chance.choice(ODD))
            elif kind < 0.75:
                parts.append(chance.choice(BLOCKS))
            elif kind < 0.85:
                whole = chance.choice(notes)
                at = chance.randint(0, len(whole))
                parts.append(whole[:at] + chance.choice(ODD + LINE_ENDS) + whole[at:])
            parts.append(chance.choice(LINE_ENDS))
        if chance.random() < 0.1:
            parts.insert(0, b"\xef\xbb\xbf")
        note = b"".join(parts)
        yield b" " + note if note[:2] in (b"\xff\xfe", b"\xfe\xff") else note


def fault_of(note, options):
    """What is wrong with the round trip of `note`; nothing when all is well."""

    def told(answer, expected):
        return "%s\nnote %r\nexpected %r" % (answer, note, expected)

    once = support.letbe("note", *options, given=note)
    if once.code not in (0, 1) or once.err:
        return told(once, "exit code 0 or 1 and an empty standard error")
    if once.code == 1 and once.out != note:
        return told(once, "the note itself, for nothing was attached")
    if once.code == 0 and once.out == note:
        return told(once, "a note with a block, for exit code 0 says so")
    back = support.letbe("note", "--strip", given=once.out)
    if (back.code, back.out, back.err) != (0, note, b""):
        return told(back, note)
    again = support.letbe("note", *options, given=once.out)
    if (again.code, again.out, again.err) != (once.code, once.out, b""):
        return told(again, once.out)
    return None


class RoundTrip(support.Case):
    def holds(self, tasks):
        tasks = list(tasks)
        with concurrent.futures.ThreadPoolExecutor(min(4, os.cpu_count() or 1)) as pool:
            faults = [f for f in pool.map(lambda task: fault_of(*task), tasks) if f]
        if faults:
            self.fail("%d of %d\n%s" % (len(faults), len(tasks), "\n\n".join(faults[:3])))

    def test_every_labelled_note_comes_back_to_the_byte_and_is_not_attached_to_twice(self):
        notes = eval_notes()
        self.assertGreaterEqual(len(notes), 150)
        if support.SANITIZED:
            notes = notes[::4]
        # Each note under two sets; each set with some thirteen notes or more.
        count = len(OPTION_SETS)
        self.holds((note, OPTION_SETS[(7 * i + shift) % count]) for i, note in enumerate(notes) for shift in (0, count // 2 + 1))

    def test_hostile_notes_come_back_to_the_byte_and_are_not_attached_to_twice(self):
        chance = random.Random(SEED + 1)
        self.holds((note, chance.choice(OPTION_SETS)) for note in hostile_notes(HOSTILE))

    def test_the_demo_note_comes_back_under_every_option_set(self):
        note = support.read_bytes(support.DEMO)
        self.holds((note, options) for options in OPTION_SETS[::5 if support.SANITIZED else 1])

    def test_blocks_of_one_option_set_are_replaced_by_those_of_another(self):
        note = support.read_bytes(support.DEMO)
        stamped = support.letbe("note", "--built", "1956", given=note).out
        for options in (["--brief"], ["--as", "markdown"], ["--no-stamp"], ["--no-stamp", "--brief", "--as", "markdown"]):
            with self.subTest(options=options):
                direct = support.letbe("note", "--built", "1956", *options, given=note).out
                self.assertNotEqual(direct, stamped)
                self.assertEqual(support.letbe("note", "--built", "1956", *options, given=stamped).out, direct)
                self.assertEqual(support.letbe("note", "--strip", given=direct).out, note)


if __name__ == "__main__":
    support.main()
