#!/usr/bin/env python3
"""Databases: a file that is not whole, not ours or not of this version gives one line and no answer."""

import sys

sys.dont_write_bytecode = True

import hashlib
import os
import random
import sqlite3

import support

TRAILER = 8 + 32
SEED = 4711
COMMANDS = (("find", "tile"), ("read", "vinyl-floor-tile"), ("note",), ("list",), ("about",))


class Faulty(support.Case):
    def refused(self, path, *words):
        """By --db and by LETBE_DB, and by every command."""
        for command in COMMANDS:
            with self.subTest(command=command):
                answer = support.letbe(*command, "--db", path, given=support.WRAP)
                self.complains(answer, 3, path, *words)
        answer = support.letbe("find", "tile", env=support.environment(LETBE_DB=path))
        self.complains(answer, 3, path, *words)

    def whole(self):
        return bytearray(support.read_bytes(support.DATABASE))

    def sealed(self, body):
        """The bytes with a digest that fits them."""
        return bytes(body[:-32]) + hashlib.sha256(body[:-32]).digest()

    def test_a_whole_one_answers(self):
        path = self.file("whole.db", bytes(self.whole()))
        self.assertEqual(self.quiet(support.letbe("list", "--db", path), 0).out, support.letbe("list").out)
        by_environment = support.letbe("about", "--json", env=support.environment(LETBE_DB=path))
        self.assertEqual(self.quiet(by_environment, 0).json()["database"]["source"], path)

    def test_the_option_wins_over_the_environment_and_an_empty_one_counts_as_none(self):
        path = self.file("whole.db", bytes(self.whole()))
        missing = support.environment(LETBE_DB=self.inside("missing.db"))
        self.quiet(support.letbe("list", "--db", path, env=missing), 0)
        self.quiet(support.letbe("list", env=support.environment(LETBE_DB="")), 0)

    def test_a_missing_one_is_named_and_not_made(self):
        self.refused(self.inside("missing.db"), "No such file", "built in")
        self.assert_only()

    def test_a_folder_is_named(self):
        self.refused(self.folder, "folder")

    def test_an_unreadable_one_is_named(self):
        path = self.file("shut.db", bytes(self.whole()))
        os.chmod(path, 0)
        os.chmod(self.folder, 0o755)
        place, before, (program,) = self.as_another_user(support.LETBE)
        self.complains(support.run(*before, program, "list", "--db", path, cwd=place), 3, path, "Permission denied")

    def test_an_empty_one_is_named(self):
        self.refused(self.file("empty.db"), "empty")

    def test_a_text_file_is_named(self):
        self.refused(self.file("note.db", support.WRAP * 100), "not a letbe database")
        self.refused(self.file("short.db", b"x"), "not a letbe database")

    def test_one_of_another_program_is_named(self):
        path = self.inside("other.db")
        other = sqlite3.connect(path)
        other.execute("CREATE TABLE article(id TEXT)")
        other.commit()
        other.close()
        self.refused(path, "another program")

    def test_one_of_another_schema_version_is_named_with_both_versions(self):
        body = self.whole()
        body[60:64] = (99).to_bytes(4, "big")
        self.refused(self.file("newer.db", self.sealed(body)), "schema version 99")

    def test_a_truncated_one_is_named(self):
        body = bytes(self.whole())
        for length in (50, 100, 120, 4096, len(body) // 2, len(body) - 4096, len(body) - 1):
            with self.subTest(length=length):
                path = self.file("cut.db", body[:length])
                self.complains(support.letbe("find", "tile", "--db", path), 3, path, "letbe-index")
        self.refused(self.file("cut.db", body[:len(body) // 2]), "cut short")

    def test_one_without_its_trailer_is_named(self):
        self.refused(self.file("bare.db", bytes(self.whole()[:-TRAILER])), "cut short")

    def test_one_with_bytes_behind_it_is_named(self):
        path = self.file("long.db", bytes(self.whole()) + b"\0")
        self.complains(support.letbe("find", "tile", "--db", path), 3, path)

    def test_one_bit_flipped_anywhere_is_found(self):
        body = bytes(self.whole())
        chance = random.Random(SEED)
        places = [chance.randrange(len(body)) for _ in range(36)] + [0, len(body) - TRAILER, len(body) - 32, len(body) - 1]
        for place in places:
            with self.subTest(place=place):
                damaged = bytearray(body)
                damaged[place] ^= 1 << chance.randrange(8)
                path = self.file("damaged.db", bytes(damaged))
                self.complains(support.letbe("find", "tile", "--db", path), 3, path, "letbe-index")

    def test_names_with_signs_are_taken_as_they_are(self):
        for name in ("a?b.db", "a#b.db", "a%41.db", "[a,b].db", "file:x.db"):
            with self.subTest(name=name):
                self.file(name, bytes(self.whole()))
                self.quiet(support.letbe("list", "--db", name, cwd=self.folder), 0)
                self.assert_only(name)
                os.remove(self.inside(name))


class BuiltIn(support.Case):
    def test_the_database_in_the_program_is_the_verified_file(self):
        body = support.read_bytes(support.DATABASE)
        self.assertEqual(body[-TRAILER:-32], b"letbe-1\n")
        self.assertEqual(hashlib.sha256(body[:-32]).digest(), body[-32:])
        program = support.read_bytes(support.LETBE)
        at = program.find(body[:4096])
        self.assertGreaterEqual(at, 0, "the program does not hold the file's first bytes")
        self.assertEqual(hashlib.sha256(program[at:at + len(body)]).hexdigest(), hashlib.sha256(body).hexdigest())

    def test_it_has_the_application_id_the_schema_version_and_no_write_ahead_log(self):
        body = support.read_bytes(support.DATABASE)
        self.assertEqual(body[68:72], b"letb")
        about = support.letbe("about", "--json").json()
        self.assertEqual(int.from_bytes(body[60:64], "big"), about["database"]["schema_version"])
        self.assertEqual((body[18], body[19]), (1, 1))

    def test_it_is_sound_and_of_the_version_that_about_tells(self):
        path = self.file("copy.db", support.read_bytes(support.DATABASE)[:-TRAILER])
        database = sqlite3.connect(path)
        self.addCleanup(database.close)
        self.assertEqual(database.execute("PRAGMA integrity_check").fetchall(), [("ok",)])
        self.assertEqual(database.execute("PRAGMA journal_mode").fetchall(), [("delete",)])
        version = database.execute("SELECT value FROM meta WHERE key='corpus-version'").fetchone()[0]
        self.assertEqual(support.letbe("about", "--json").json()["corpus"], version)
        self.assertEqual(support.letbe("about", "--json", "--db", support.DATABASE).json()["corpus"], version)
        self.assertRegex(version, r"^[0-9.]+\+[0-9a-f]{8}$")

    def test_the_program_works_alone(self):
        place, before, (program,) = self.as_another_user(support.LETBE)
        answer = support.run(*before, program, "find", "tile", cwd=place, env={"PATH": os.environ["PATH"]})
        self.assertIn(b"vinyl-floor-tile", self.quiet(answer, 0).out)
        self.assert_only(os.path.basename(program), folder=place)


if __name__ == "__main__":
    support.main()
