#!/usr/bin/env python3
"""Where answers go: files are whole or untouched, a reader may leave, a full disk is one line."""

import sys

sys.dont_write_bytecode = True

import os

import support
from support import PLAIN, WRAP

COMMANDS = (("note", support.DEMO), ("note", "--json", support.DEMO), ("find", "tile"), ("find", "--json", "tile"),
            ("read", "vinyl-floor-tile"), ("read", "--json", "vinyl-floor-tile"), ("read", "--html", "vinyl-floor-tile"),
            ("list",), ("list", "--json"), ("about",), ("about", "--json"), ("about", "--advice"),
            ("--help",), ("note", "--help"), ("--version",))


class Files(support.Case):
    def expected(self, note=WRAP):
        return support.letbe("note", given=note).out

    def test_o_writes_what_standard_output_would_have_got(self):
        out = self.inside("out.txt")
        answer = self.quiet(support.letbe("note", "-o", out, given=WRAP), 0)
        self.assertEqual(answer.out, b"")
        self.assertEqual(support.read_bytes(out), self.expected())
        self.assert_only("out.txt")

    def test_o_with_nothing_attached_writes_the_note_itself(self):
        out = self.inside("out.txt")
        self.quiet(support.letbe("note", "-o", out, given=PLAIN), 1)
        self.assertEqual(support.read_bytes(out), PLAIN)

    def test_o_dash_is_standard_output(self):
        self.assertEqual(self.quiet(support.letbe("note", "-o", "-", given=WRAP, cwd=self.folder), 0).out, self.expected())
        self.assert_only()

    def test_o_may_name_the_note_itself(self):
        note = self.file("note.txt", WRAP)
        self.quiet(support.letbe("note", note, "-o", note), 0)
        self.assertEqual(support.read_bytes(note), self.expected())
        self.quiet(support.letbe("note", note, "--strip", "-o", note), 0)
        self.assertEqual(support.read_bytes(note), WRAP)
        self.assert_only("note.txt")

    def test_an_existing_file_keeps_its_mode(self):
        for mode in (0o600, 0o640, 0o664, 0o755):
            with self.subTest(mode=oct(mode)):
                out = self.file("out.txt", b"old and longer than the new one" * 100)
                os.chmod(out, mode)
                self.quiet(support.letbe("note", "-o", out, given=WRAP), 0)
                self.assertEqual(support.mode_of(out), mode)
                self.assertEqual(support.read_bytes(out), self.expected())
                self.assert_only("out.txt")

    def test_a_new_file_gets_the_usual_mode(self):
        out = self.inside("out.txt")
        self.quiet(support.shell('umask 027; exec "$1" note -o "$2"', support.LETBE, out, given=WRAP), 0)
        self.assertEqual(support.mode_of(out), 0o640)

    def test_a_link_stays_a_link_and_its_file_is_replaced(self):
        real = self.file("real.txt", b"old")
        os.symlink("real.txt", self.inside("link.txt"))
        self.quiet(support.letbe("note", "-o", self.inside("link.txt"), given=WRAP), 0)
        self.assertTrue(os.path.islink(self.inside("link.txt")))
        self.assertEqual(support.read_bytes(real), self.expected())

    def test_names_with_brackets_dashes_and_blanks_are_taken_as_they_are(self):
        for name in ("[a,b].txt", "[x]", "a b.txt", "caf\u00e9.txt", "a#b?c%41.txt"):
            with self.subTest(name=name):
                self.file(name, WRAP)
                self.assertEqual(self.quiet(support.letbe("note", name, cwd=self.folder), 0).out, self.expected())
                os.remove(self.inside(name))
                self.quiet(support.letbe("note", "-o", name, given=WRAP, cwd=self.folder), 0)
                self.assert_only(name)
                os.remove(self.inside(name))

    def test_a_folder_as_output_is_named(self):
        self.complains(support.letbe("note", "-o", self.folder, given=WRAP), 3, self.folder, "-o")
        self.assert_only()

    def test_a_missing_folder_is_named(self):
        out = self.inside("no/out.txt")
        self.complains(support.letbe("note", "-o", out, given=WRAP), 3, out, "make the folder")
        self.assert_only()

    def test_a_bad_note_leaves_the_output_as_it_was(self):
        out = self.file("out.txt", b"old")
        self.complains(support.letbe("note", self.inside("missing"), "-o", out), 3, "missing")
        self.complains(support.letbe("note", "-o", out, given=b"\xff\xfea\0"), 3, "UTF-16")
        self.complains(support.letbe("note", "-o", out, "--bogus", given=WRAP), 2, "--bogus")
        self.assertEqual(support.read_bytes(out), b"old")
        self.assert_only("out.txt")

    def test_read_writes_a_whole_file_too(self):
        out = self.inside("page.html")
        self.quiet(support.letbe("read", "vinyl-floor-tile", "--html", "-o", out), 0)
        self.assertEqual(support.read_bytes(out), support.letbe("read", "vinyl-floor-tile", "--html").out)
        self.assert_only("page.html")


class Refusals(support.Case):
    def test_a_read_only_folder_is_named_and_left_as_it_was(self):
        place, before, (program,) = self.as_another_user(support.LETBE)
        os.mkdir(os.path.join(place, "kept"), 0o755)
        old = support.write_bytes(os.path.join(place, "kept", "old.txt"), b"old")
        os.chmod(old, 0o666)
        os.chmod(os.path.dirname(old), 0o555)
        self.addCleanup(os.chmod, os.path.dirname(old), 0o755)
        for name in (old, os.path.join(place, "kept", "new.txt")):
            answer = support.run(*before, program, "note", "-o", name, given=WRAP, cwd=place)
            self.complains(answer, 3, name, "Permission denied", "-o")
        self.assertEqual(support.read_bytes(old), b"old")
        self.assert_only("old.txt", folder=os.path.dirname(old))

    def test_a_write_protected_file_is_not_replaced(self):
        place, before, (program,) = self.as_another_user(support.LETBE)
        os.mkdir(os.path.join(place, "open"))
        os.chmod(os.path.join(place, "open"), 0o777)
        old = support.write_bytes(os.path.join(place, "open", "old.txt"), b"old")
        os.chmod(old, 0o444)
        answer = support.run(*before, program, "note", "-o", old, given=WRAP, cwd=place)
        self.complains(answer, 3, old, "Permission denied")
        self.assertEqual(support.read_bytes(old), b"old")
        self.assert_only("old.txt", folder=os.path.dirname(old))

    def test_a_read_only_disk_is_named(self):
        with self.small_disk("ro,size=64k") as place:
            out = os.path.join(place, "out.txt")
            self.complains(support.letbe("note", "-o", out, given=WRAP), 3, out, "Read-only", "-o")

    def test_a_full_disk_leaves_the_old_file_and_no_temporary(self):
        with self.small_disk("size=16k") as place:
            out = support.write_bytes(os.path.join(place, "out.txt"), b"old")
            answer = support.letbe("note", "-o", out, given=WRAP * 1000)
            self.complains(answer, 3, out, "No space left", "-o")
            self.assertEqual(support.read_bytes(out), b"old")
            self.assert_only("out.txt", folder=place)


class StandardOutput(support.Case):
    def test_a_reader_who_leaves_ends_it_quietly(self):
        big = self.file("big.txt", WRAP * 20000)
        rows = self.file("big.jsonl", b'"The white paper wrap on the supply boot is torn."\n' * 5000)
        for command in (*COMMANDS, ("note", big), ("note", rows), ("note", "--json", big), ("note", "--strip", big)):
            with self.subTest(command=command):
                answer = support.shell('"$@" | head -c 10; echo " ${PIPESTATUS[0]}"',
                                       support.LETBE, *command)
                self.assertEqual(answer.err, b"", str(answer))
                self.assertEqual(answer.out[10:], b" 0\n", str(answer))

    def test_a_reader_who_left_before_the_start_ends_it_quietly(self):
        for command in COMMANDS:
            with self.subTest(command=command):
                reader, writer = os.pipe()
                os.close(reader)
                with open(writer, "wb") as pipe:
                    answer = support.subprocess.run([support.LETBE, *command], stdout=pipe, stdin=support.subprocess.DEVNULL,
                                                    stderr=support.subprocess.PIPE, timeout=support.LONGEST, check=False)
                self.assertEqual((answer.returncode, answer.stderr), (0, b""))

    def test_a_full_device_is_one_line(self):
        for command in COMMANDS:
            with self.subTest(command=command):
                answer = support.shell('exec "$@" >/dev/full', support.LETBE, *command)
                self.complains(answer, 3, "standard output", "No space left", "; check")

    def test_a_closed_standard_output_is_one_line(self):
        for command in COMMANDS:
            with self.subTest(command=command):
                answer = support.shell('exec "$@" >&-', support.LETBE, *command)
                self.complains(answer, 3, "standard output", "; check")

    def test_a_closed_standard_error_changes_no_answer(self):
        out = self.inside("out.txt")
        answer = support.shell('exec "$1" note --why -o "$2" 2>&-', support.LETBE, out, given=WRAP)
        self.quiet(answer, 0)
        self.assertEqual(support.read_bytes(out), support.letbe("note", given=WRAP).out)


if __name__ == "__main__":
    support.main()
