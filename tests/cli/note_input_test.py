#!/usr/bin/env python3
"""letbe note: whatever is given as a note is read, or refused in one line."""

import sys

sys.dont_write_bytecode = True

import contextlib
import os
import re
import subprocess
import time
import unittest

import support
from support import PLAIN, WRAP

CAPTION = b"Asbestos caution: " + support.title("duct-paper-wrap")
SENTENCES = b"The white paper wrap on the ducts is torn near the furnace. Kitchen counters were new. "
LINES = b"- The white paper wrap on the ducts is torn.\n- Kitchen counters were new and in order.\n"


def filled(unit, size):
    return (unit * (size // len(unit) + 1))[:size]


class Refused(support.Case):
    def test_a_missing_file_is_named(self):
        answer = support.letbe("note", "missing.txt", cwd=self.folder)
        self.complains(answer, 3, "missing.txt", "No such file", "; give")

    def test_a_folder_in_place_of_a_file_is_named(self):
        self.complains(support.letbe("note", self.folder), 3, self.folder, "folder", "; give")

    def test_an_unreadable_file_is_named(self):
        note = self.file("note.txt", WRAP)
        os.chmod(note, 0)
        place, before, (program,) = self.as_another_user(support.LETBE)
        os.chmod(self.folder, 0o755)
        self.complains(support.run(*before, program, "note", note, cwd=place), 3, note, "Permission denied")

    def test_a_note_over_the_largest_size_is_refused_and_nothing_is_written(self):
        note = self.file("big.txt")
        os.truncate(note, (256 << 20) + 1)
        out = self.inside("out.txt")
        self.complains(support.letbe("note", note, "-o", out), 3, note, "256 MiB", "; split")
        self.assert_only("big.txt")

    def test_a_note_of_the_largest_reading_is_read_and_one_byte_more_is_not(self):
        largest = b"\n" * (16 << 20)
        answer = support.letbe("note", "--json", given=largest)
        self.assertEqual((answer.code, answer.err), (1, b""))
        self.complains(support.letbe("note", "--json", given=largest + b"\n"), 3, "16 MiB")

    @unittest.skipIf(support.SANITIZED, "the sanitizers hold memory of their own")
    def test_a_long_note_is_read_in_memory_of_at_most_four_times_its_size(self):
        line = "Room %d: pipe insulation torn at the elbow, black mastic none, gutters clean.\n\n"
        note = "".join(line % n for n in range(100_000)).encode()
        path = self.file("long.txt", note)
        out = self.inside("out.txt")
        process = subprocess.Popen([support.LETBE, "note", path, "-o", out], env=support.environment())
        peak = 0
        while process.poll() is None:
            with contextlib.suppress(OSError, AttributeError), open("/proc/%d/status" % process.pid) as status:
                peak = max(peak, int(re.search(r"VmHWM:\s+(\d+) kB", status.read()).group(1)))
            time.sleep(0.002)
        self.assertEqual(process.returncode, 0)
        # Every place is another, so every block stays: the answer is many times the note.
        self.assertGreater(os.path.getsize(out), 4 * len(note))
        self.assertGreater(peak, 0)
        self.assertLess(peak * 1024, 4 * len(note) + (8 << 20))  # The program itself takes some.
        self.assertEqual(support.letbe("note", "--strip", out).out, note)

    def test_utf_16_of_either_mark_is_refused_with_the_way_out(self):
        for encoding, mark in (("utf-16-le", b"\xff\xfe"), ("utf-16-be", b"\xfe\xff")):
            with self.subTest(encoding):
                note = self.file("note.txt", mark + WRAP.decode().encode(encoding))
                self.complains(support.letbe("note", note), 3, note, "UTF-16", "save it as UTF-8")
                self.complains(support.letbe("note", given=support.read_bytes(note)), 3, "UTF-16")
                self.complains(support.letbe("note", "--strip", note), 3, "UTF-16")

    def test_a_closed_standard_input_is_one_line(self):
        self.complains(support.shell('exec "$1" note <&-', support.LETBE), 3, "standard input", "; give")


class Kept(support.Case):
    """Notes that come back to the byte, with and without a block between."""

    def kept(self, note):
        plain = support.letbe("note", given=note)
        self.assertEqual((plain.code, plain.err), (0, b""), str(plain))
        self.assertIn(CAPTION, plain.out)
        back = support.letbe("note", "--strip", given=plain.out)
        self.assertEqual((back.code, back.out, back.err), (0, note, b""))
        return plain.out

    def test_an_empty_note_gives_nothing(self):
        for arguments in ((self.file("empty.txt"),), ("-",), ()):
            with self.subTest(arguments=arguments):
                answer = self.quiet(support.letbe("note", *arguments), 1)
                self.assertEqual(answer.out, b"")

    def test_a_note_with_nothing_to_attach_comes_back_itself(self):
        for note in (PLAIN, PLAIN.strip(), b"\n", b"\0", b"\xff", b"\xef\xbb\xbf", b"\r\n\r\n", b" "):
            with self.subTest(note=note):
                self.assertEqual(self.quiet(support.letbe("note", given=note), 1).out, note)

    def test_file_standard_input_and_dash_give_the_same(self):
        path = self.file("note.txt", WRAP)
        by_file = self.quiet(support.letbe("note", path), 0).out
        self.assertEqual(self.quiet(support.letbe("note", given=WRAP), 0).out, by_file)
        self.assertEqual(self.quiet(support.letbe("note", "-", given=WRAP), 0).out, by_file)
        self.assertEqual(support.read_bytes(path), WRAP)

    def test_invalid_utf_8_is_kept(self):
        for odd in (b"\xff", b"\xc3", b"\xed\xa0\x80", b"\xf4\x90\x80\x80", b"caf\xe9 "):
            with self.subTest(odd=odd):
                self.assertIn(odd, self.kept(b"Attic " + odd + b" dry.\n" + WRAP + b"Roof " + odd + b"\n"))

    def test_nul_bytes_are_kept_and_do_not_end_the_note(self):
        out = self.kept(b"Roof\0 fine.\n\0\n" + WRAP + b"\0Gutters\0 fine.\n")
        self.assertTrue(out.endswith(b"\0Gutters\0 fine.\n"))

    def test_a_note_with_crlf_gets_blocks_with_crlf(self):
        out = self.kept((PLAIN + WRAP + PLAIN).replace(b"\n", b"\r\n"))
        self.assertEqual(out.count(b"\n"), out.count(b"\r\n"))

    def test_mixed_line_ends_are_kept(self):
        self.kept(b"Roof fine.\r\n" + WRAP + b"Gutters fine.\rDoors fine.\r\n\n\rWindows fine.\n")

    def test_a_lone_return_at_the_end_is_kept(self):
        self.kept(WRAP.strip() + b"\r")
        self.kept(WRAP.replace(b"\n", b"\r\n") + b"\r")

    def test_a_missing_final_newline_stays_missing(self):
        out = self.kept(WRAP.strip())
        self.assertFalse(out.endswith(b"\n"))
        self.assertTrue(self.kept(WRAP).endswith(b"\n"))

    def test_a_byte_order_mark_stays_first(self):
        out = self.kept(b"\xef\xbb\xbf" + WRAP)
        self.assertTrue(out.startswith(b"\xef\xbb\xbf" + WRAP))

    def test_terminal_controls_in_a_note_are_kept_in_the_text(self):
        self.assertIn(b"\x1b[31m", self.kept(b"Roof \x1b[31m fine.\n" + WRAP))


class Blocks(support.Case):
    def attached(self, note=WRAP + b"\n" + PLAIN, *options):
        return self.quiet(support.letbe("note", *options, given=note), 0).out

    def test_a_block_is_caption_paragraph_and_stamp(self):
        lines = self.attached().split(b"\n")
        at = lines.index(CAPTION)
        self.assertTrue(lines[at + 1])
        self.assertRegex(lines[at + 2], rb"^\[duct-paper-wrap[a-z, -]*; letbe corpus [0-9.]+\+[0-9a-f]{8}; [0-9a-f]{8}\]$")
        self.assertEqual(lines[at + 3], b"")

    def test_no_stamp_drops_the_stamp_and_keeps_the_caption(self):
        out = self.attached(WRAP, "--no-stamp")
        self.assertIn(CAPTION, out)
        self.assertNotIn(b"letbe corpus", out)

    def test_our_block_is_not_read_as_note(self):
        # Its own words name ducts, tears and asbestos.
        out = self.attached()
        only_block = out[out.index(b"Asbestos caution:"):].split(b"\n\n")[0] + b"\n"
        answer = self.quiet(support.letbe("note", "--json", given=only_block), 1)
        self.assertEqual(answer.json()["observations"], [])

    def test_a_writer_s_own_text_under_such_a_caption_is_kept_and_read(self):
        note = CAPTION + b"\n" + WRAP
        out = self.attached(note)
        self.assertTrue(out.startswith(note))
        self.assertEqual(support.letbe("note", "--strip", given=note).out, note)
        answer = support.letbe("note", "--json", given=note)
        materials = [m["id"] for o in answer.json()["observations"] for m in o["materials"]]
        self.assertIn("duct-paper-wrap", materials)

    def test_a_caption_of_an_unknown_title_is_the_writer_s_own(self):
        note = b"Asbestos caution: Haunted cellar\n" + PLAIN
        self.assertTrue(support.letbe("note", given=note).out.startswith(note))
        self.assertEqual(support.letbe("note", "--strip", given=note).out, note)

    def test_a_block_edited_by_hand_is_left_alone_and_not_read_with_a_remark(self):
        edited = self.attached(PLAIN + WRAP).replace(CAPTION + b"\n", CAPTION + b"\nVermiculite fill. ", 1)
        self.assertIn(b"Vermiculite fill.", edited)
        self.assertIn(b"Vermiculite fill.", support.letbe("note", "--strip", given=edited).out)
        answer = self.quiet(support.letbe("note", "--json", given=edited), 0)
        read = answer.json()
        materials = [m["id"] for o in read["observations"] for m in o["materials"]]
        self.assertNotIn("vermiculite-fill", materials)
        self.assertTrue([r for r in read["remarks"] if "edited by hand" in r["text"]], str(answer))

    def test_a_line_written_right_below_a_block_is_not_lost(self):
        out = self.attached(WRAP)
        stamp_end = out.index(b"]\n") + 2
        more = out[:stamp_end] + b"Gate squeaks.\n" + out[stamp_end:]
        stripped = support.letbe("note", "--strip", given=more).out
        self.assertIn(b"Gate squeaks.\n", stripped)
        self.assertIn(WRAP, stripped)
        self.assertNotIn(b"Asbestos caution", stripped)

    def test_reflowed_blocks_are_still_ours(self):
        out = self.attached(WRAP)
        lines = out.split(b"\n")
        at = lines.index(CAPTION) + 1
        lines[at] = lines[at].replace(b". ", b".\n").replace(b", ", b",  ")
        reflowed = b"\n".join(lines)
        self.assertNotEqual(reflowed, out)
        self.assertEqual(support.letbe("note", "--strip", given=reflowed).out, WRAP)


class Large(support.Case):
    def finishes(self, unit, size=10**7):
        note = filled(unit, size)
        began = time.monotonic()
        answer = support.letbe("note", given=note)
        self.assertEqual((answer.code, answer.err), (0, b""))
        self.assertGreater(len(answer.out), len(note))
        return time.monotonic() - began

    def linear(self, unit):
        """Four times the note takes about four times as long; a square would be sixteen."""
        if support.SANITIZED:
            self.finishes(unit, 10**6)
            return
        quarter = min(self.finishes(unit, 2_500_000) for _ in range(2))
        self.assertLess(self.finishes(unit), 9 * quarter)

    def test_10_mb_in_one_paragraph_take_time_in_proportion(self):
        self.linear(SENTENCES)

    def test_10_mb_in_many_lines_take_time_in_proportion(self):
        self.linear(LINES)

    def quickly(self, note):
        began = time.monotonic()
        answer = support.letbe("note", given=note)
        self.assertIn((answer.code, answer.err), ((0, b""), (1, b"")))
        if not support.SANITIZED:
            self.assertLess(time.monotonic() - began, 5)

    def test_a_note_of_nothing_but_captions_is_read_quickly(self):
        self.quickly(filled(b"Asbestos caution: Vinyl floor tile\n", 10**6))
        self.quickly(filled(b"Asbestos caution: Vinyl floor tile\n\n", 10**6))
        self.quickly(filled(b"> **Asbestos caution: Vinyl floor tile**\\\n> Square tile.\\\n", 10**6))

    def test_text_that_nearly_looks_like_ours_is_read_quickly(self):
        self.quickly(b"Asbestos caution: Vinyl floor tile\nAs noted: " + b"a. As noted: b. " * 200 + b"end\n")

    def test_long_runs_without_a_blank_are_read_quickly(self):
        for unit in (b"x", b"-", b"(", b"9", b"\0", b"\xff", b"\xcc\x81", b"\r", b"no ", b"not "):
            with self.subTest(unit=unit):
                self.quickly(filled(unit, 10**6))

    def test_much_work_over_many_materials_takes_memory_in_proportion(self):
        count = 500 if support.SANITIZED else 5000
        limit = "" if support.SANITIZED else "ulimit -v 1000000; "  # KiB; a sanitizer reserves far more.
        note = b"Vermiculite in attic.\n" * count + b"Add attic insulation.\n" * count
        answer = support.shell(limit + 'exec "$1" note', support.LETBE, given=note)
        self.assertEqual((answer.code, answer.err), (0, b""))


class Usage(support.Case):
    def test_an_unknown_option_is_named_with_the_nearest(self):
        self.complains(support.letbe("note", "--buidt", "1956"), 2, "--buidt", "--built")
        self.complains(support.letbe("note", "--bogus-thing"), 2, "--bogus-thing", "--help")
        self.complains(support.letbe("find", "--jsn", "tile"), 2, "--jsn", "--json")
        self.complains(support.letbe("--bogus-thing"), 2, "--bogus-thing", "letbe --help")

    def test_an_unknown_command_is_named_with_the_nearest(self):
        self.complains(support.letbe("ntoe"), 2, "ntoe", "'note'")
        self.complains(support.letbe("fnid", "tile"), 2, "fnid", "'find'")
        self.complains(support.letbe("zzzzzzzz"), 2, "zzzzzzzz", "letbe --help")
        self.complains(support.letbe("two\nlines"), 2, "letbe --help")

    def test_option_values_out_of_range_are_refused(self):
        for arguments, words in (
                (("note", "--built", "99"), ("--built", "1500", "2100")),
                (("note", "--built", "2101"), ("--built", "2101")),
                (("note", "--built", "old"), ("--built", "old")),
                (("note", "--built", "99999999999999999999"), ("--built",)),
                (("note", "--as", "pdf"), ("--as", "pdf", "markdown")),
                (("note", "--from", "pdf"), ("--from", "pdf", "jsonl")),
                (("find", "-n", "0", "tile"), ("1", "1000")),
                (("find", "--kind", "mineral", "tile"), ("--kind", "mineral", "material")),
                (("find", "--system", "warm-air-duct", "tile"), ("warm-air-duct", "'warm-air-ducts'")),
                (("list", "--kind", "mineral"), ("--kind", "mineral", "material")),
                (("read", "vinyl-floor-tile", "--for", "cat"), ("--for", "cat", "homeowner")),
        ):
            with self.subTest(arguments=arguments):
                self.complains(support.letbe(*arguments), 2, *words)

    def test_what_is_missing_or_too_much_is_wrong_use(self):
        note = self.file("note.txt", WRAP)
        for arguments in (("find",), ("read",), ("note", note, note), ("note", "--built"), ("note", "-o"),
                          ("note", "--json", "--as", "text"), ("read", "vinyl-floor-tile", "--json", "--html"),
                          ("note", "--strip", "--refresh"), ("list", "more"), ("about", "more")):
            with self.subTest(arguments=arguments):
                self.complains(support.letbe(*arguments), 2, "--")

    def test_help_goes_to_standard_output(self):
        for arguments in (("--help",), ("-h",), ("help",), ("note", "--help"), ("help", "find"), ("read", "-h")):
            with self.subTest(arguments=arguments):
                self.assertIn(b"Usage", self.quiet(support.letbe(*arguments), 0).out)

    def test_no_arguments_show_the_help_on_standard_error(self):
        answer = support.letbe()
        self.assertEqual((answer.code, answer.out), (2, b""))
        self.assertIn(b"letbe note", answer.err)

    def test_the_version_is_one_line(self):
        self.assertRegex(self.quiet(support.letbe("--version"), 0).out, rb"^letbe [0-9]+\.[0-9]+\.[0-9]+\n$")


if __name__ == "__main__":
    support.main()
