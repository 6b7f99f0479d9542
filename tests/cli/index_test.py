#!/usr/bin/env python3
"""letbe-index: faults with file and line, the database whole or untouched, the same bytes twice."""

import sys

sys.dont_write_bytecode = True

import contextlib
import os
import re
import shutil
import signal
import sqlite3
import subprocess
import time

import support



def index(*arguments, **more):
    return support.run(support.LETBE_INDEX, *arguments, **more)


class Built(support.Case):
    def test_the_same_articles_give_the_same_bytes_whatever_the_folder_clock_or_language(self):
        first, second = self.inside("first.db"), self.inside("second.db")
        self.quiet(index(support.ARTICLES, "-o", first), 0)
        shutil.copytree(support.ARTICLES, self.inside("elsewhere"))
        answer = index("elsewhere", "-o", second, cwd=self.folder,
                       env=support.environment(LC_ALL="tr_TR.UTF-8", TZ="Pacific/Apia", SOURCE_DATE_EPOCH="1"))
        self.quiet(answer, 0)
        self.assertEqual(support.read_bytes(first), support.read_bytes(second))
        self.assertEqual(support.mode_of(first), 0o666 & ~current_umask())

    def test_one_changed_word_changes_the_version(self):
        shutil.copytree(support.ARTICLES, self.inside("a"))
        before = self.quiet(index(self.inside("a"), "-o", self.inside("a.db")), 0).out
        page = self.inside("a/materials/vinyl-floor-tile.md")
        support.write_bytes(page, support.read_bytes(page).replace(b"undisturbed", b"quite undisturbed", 1))
        after = self.quiet(index(self.inside("a"), "-o", self.inside("a.db")), 0).out
        self.assertNotEqual(version_in(before), version_in(after))

    def test_the_program_answers_from_the_file_and_tells_the_version_that_was_printed(self):
        out = self.inside("a.db")
        said = self.quiet(index(support.ARTICLES, "-o", out), 0).out
        about = self.quiet(support.letbe("about", "--json", "--db", out), 0).json()
        self.assertEqual(about["corpus"], version_in(said))
        self.assertEqual(self.quiet(support.letbe("find", "--json", "tile", "--db", out), 0).out,
                         self.quiet(support.letbe("find", "--json", "tile"), 0).out)
        self.assertEqual(support.read_bytes(out), support.read_bytes(support.DATABASE))

    def test_check_writes_nothing(self):
        out = self.inside("a.db")
        self.assertIn(b"without a problem", self.quiet(index("--check", support.ARTICLES), 0).out)
        self.quiet(index("--check", support.ARTICLES, "-o", out), 0)
        self.assert_only()

    def test_an_existing_database_keeps_its_mode_and_a_link_stays(self):
        out = self.file("a.db", b"old")
        os.chmod(out, 0o640)
        os.symlink("a.db", self.inside("link.db"))
        self.quiet(index(support.ARTICLES, "-o", self.inside("link.db")), 0)
        self.assertTrue(os.path.islink(self.inside("link.db")))
        self.assertEqual(support.mode_of(out), 0o640)
        self.quiet(support.letbe("list", "--db", out), 0)
        self.assert_only("a.db", "link.db")


def firm_conditions(answer):
    return [c for o in answer.json()["observations"] for m in o["materials"] for c in m["conditions"]]


class FirmWording(support.Case):
    """A firm's own folder is held to the house style as letbe's own pages are."""

    FIRM = os.path.join(support.SOURCE, "tests", "demo", "firm")

    def write(self, wording, base):
        page = "---\nid: debris-and-dust\nkind: caution\n%s---\n\n## Report wording\n%s\n" % (base, wording)
        os.makedirs(self.inside("firm/cautions"), exist_ok=True)
        support.write_bytes(self.inside("firm/cautions/debris-and-dust.md"), page.encode())
        return index(support.ARTICLES, "firm", "-o", "a.db", cwd=self.folder)

    def over(self, wording):
        """The firm's words over letbe's, with the digits that letbe-index asks for."""
        asked = re.search(rb"write (base: \{Report wording: [0-9a-f]{8}\})", self.write(wording, "").err)
        self.assertTrue(asked)
        return self.write(wording, asked.group(1).decode() + "\n")

    def test_the_demo_firm_adds_a_caution_a_cue_and_its_own_standing_paragraph(self):
        out = self.inside("firm.db")
        self.quiet(index(support.ARTICLES, self.FIRM, "-o", out), 0)
        note = b"Basement: pipe insulation, sump ran over last spring.\n"
        ours = support.letbe("note", given=note)
        self.assertNotIn(b"Keep drying work away", ours.out)
        firm = support.letbe("note", "--db", out, given=note)
        self.assertIn(b"Asbestos caution: Limits of what the eye can tell\nOur inspection is visual;", firm.out)
        self.assertIn("water", firm_conditions(support.letbe("note", "--json", "--db", out, given=note)))
        self.assertEqual(support.letbe("note", "--strip", "--db", out, given=firm.out).out, note)

    def test_a_standing_paragraph_that_drops_a_limit_is_refused(self):
        shutil.copytree(self.FIRM, self.inside("firm"))
        page = self.inside("firm/basics/identifying-by-eye.md")
        body = support.read_bytes(page)
        support.write_bytes(page, body.replace(b" and this list is not complete.", b""))
        answer = index(support.ARTICLES, "firm", "--check", cwd=self.folder)
        self.assertEqual(answer.code, 3)
        self.assertIn(b"leaves out a limit; say 'not complete'", answer.err)

    def test_softer_words_are_refused_and_nothing_is_written(self):
        answer = self.over("Crumbs were seen; they are harmless. The owner should sweep them up for $50.")
        self.assertEqual(answer.code, 3)
        for rule in (b"KB035", b"KB037", b"KB039"):
            self.assertIn(rule, answer.err)
        self.assertFalse(os.path.exists(self.inside("a.db")))

    def test_what_looks_like_a_name_is_a_warning_and_the_database_is_written(self):
        answer = self.over("Loose pieces were seen by Zorbal Inspections. Keep people and pets out.")
        self.assertEqual(answer.code, 0, answer.err)
        self.assertIn(b"firm/cautions/debris-and-dust.md:8: warning: 'Zorbal Inspections' looks like", answer.err)
        self.assertTrue(os.path.exists(self.inside("a.db")))


class FirmDrawing(support.Case):
    def test_a_firm_lays_its_drawing_over_ours_and_the_version_changes(self):
        drawing = support.read_bytes(os.path.join(support.ARTICLES, "materials", "pipe-lagging.svg"))
        os.makedirs(self.inside("firm/materials"))
        support.write_bytes(self.inside("firm/materials/pipe-lagging.svg"), drawing.replace(b"</title>", b", ours</title>"))
        said = self.quiet(index(support.ARTICLES, "firm", "-o", "a.db", cwd=self.folder), 0).out
        self.assertNotEqual(version_in(said), support.letbe("about", "--json").json()["corpus"])
        shown = support.letbe("read", "pipe-lagging", "--html", "--db", self.inside("a.db")).out
        self.assertIn(b", ours</figcaption>", shown)


class Large(support.Case):
    PAGES = 1500

    def corpus(self):
        """Many pages of one material's kind, each with names of its own; nothing else is long in them."""
        with open(os.path.join(support.SOURCE, "tests", "lint", "KB005-good.md"), encoding="utf-8") as file:
            front, body = file.read()[4:].split("\n---\n", 1)
        front = re.sub(r"(?m)^(#.*|id:.*|names:.*|heard-as:.*)\n", "", front)
        shutil.copytree(os.path.join(support.ARTICLES, "vocabulary"), self.inside("a/vocabulary"))
        shutil.copy(os.path.join(support.ARTICLES, "corpus.yaml"), self.inside("a"))
        style = support.read_bytes(self.inside("a/vocabulary/house-style.yaml")).decode()
        style = re.sub(r"(?m)^page-words: .*$", "page-words: {least: 1, most: 900}", style)
        style = re.sub(r"(?m)^repeated-run: .*$", "repeated-run: {words: 100, pages: 1000}", style)
        support.write_bytes(self.inside("a/vocabulary/house-style.yaml"), style.split("\nexceptions:")[0].encode() + b"\nexceptions: []\n")
        # What the vocabulary names has no page here.
        support.write_bytes(self.inside("a/vocabulary/shared-names.yaml"), b"[]\n")
        front = front.replace("look-also: [lint-other]", "look-also: []")
        many = "look-also: [%s]\n" % ", ".join("many-%d" % n for n in range(self.PAGES))
        for kind, more in (("caution", ""), ("lookalike", ""), ("rule", ""), ("system", many),
                           ("era", "years: {from: 1940, to: 1959, soft-end: Styles went on.}\n" + many)):
            os.mkdir(self.inside("a/%ss" % kind))
            support.write_bytes(self.inside("a/%ss/lint-%s.md" % (kind, kind)), support.small_page(kind, "lint-" + kind, more))
        os.mkdir(self.inside("a/materials"))
        for n in range(self.PAGES):
            names = ", ".join("cover n%do%d" % (n, i) for i in range(110))
            support.write_bytes(self.inside("a/materials/many-%d.md" % n), (
                "---\nid: many-%d\n%s\nnames: [%s]\nheard-as: []\n---\n%s" % (n, front, names, body)).encode())

    def test_compiled_knowledge_beyond_four_megabytes_is_written_and_read(self):
        self.corpus()
        out = self.inside("a.db")
        self.quiet(index(self.inside("a"), "-o", out), 0)
        with contextlib.closing(sqlite3.connect(out)) as db:
            size = db.execute("SELECT length(body) FROM compiled WHERE name='knowledge'").fetchone()[0]
        self.assertGreater(size, 4_000_000)
        found = self.quiet(support.letbe("find", "--json", "--db", out, "cover n1499o39"), 0).json()
        self.assertEqual(found["results"][0]["id"], "many-1499")
        note = self.quiet(support.letbe("note", "--json", "--db", out, given=b"Basement: torn cover n777o3 on a pipe.\n"), 0)
        self.assertIn(b'"id": "many-777"', note.out)


class Faults(support.Case):
    def setUp(self):
        super().setUp()
        shutil.copytree(support.ARTICLES, self.inside("a"))

    def change(self, name, old, new):
        path = self.inside("a/" + name)
        body = support.read_bytes(path)
        self.assertIn(old, body)
        support.write_bytes(path, body.replace(old, new, 1))

    def faulty(self, *starts):
        """Exit 3, a line for each fault and a count, and the old database untouched."""
        out = self.file("a.db", b"old")
        answer = index("a", "-o", "a.db", cwd=self.folder)
        self.assertEqual((answer.code, answer.out), (3, b""), str(answer))
        told = answer.err.decode("utf-8").splitlines()
        self.assertRegex(told[-1], r"^%d problems? in " % (len(told) - 1))
        for start in starts:
            found = [line for line in told if line.startswith(start)]
            self.assertTrue(found, "%s\n%s" % (start, answer))
            self.assertIn("; ", found[0])
        for line in told[:-1]:
            self.assertRegex(line, r"^a/[a-z0-9/.-]+:\d+: ")
        self.assertEqual(support.read_bytes(out), b"old")
        self.assert_only("a", "a.db")
        return told

    def test_a_fault_names_file_and_line_and_what_to_write(self):
        self.change("materials/pipe-lagging.md", b"\ntitle:", b"\nbogus-key: 1\ntitle:")
        told = self.faulty("a/materials/pipe-lagging.md:4: ")
        self.assertIn("bogus-key", told[0])

    def test_all_faults_are_told_in_one_run(self):
        self.change("materials/pipe-lagging.md", b"\ntitle:", b"\nbogus-key: 1\ntitle:")
        self.change("materials/black-mastic.md", b"kind: material", b"kind: mineral")
        self.change("cautions/water-damaged.md", b"## Why", b"## Because")
        self.faulty("a/materials/pipe-lagging.md:", "a/materials/black-mastic.md:", "a/cautions/water-damaged.md:")

    def test_a_repeated_key_is_a_fault(self):
        self.change("materials/black-mastic.md", b"\ntitle:", b"\nkind: material\ntitle:")
        self.faulty("a/materials/black-mastic.md:")

    def test_years_that_run_backwards_are_a_fault(self):
        page = "materials/black-mastic.md"
        body = support.read_bytes(self.inside("a/" + page))
        start = body.split(b"from: ", 1)[1][:4]
        self.change(page, b"from: " + start, b"from: 2001")
        self.faulty("a/" + page + ":")

    def test_a_link_to_a_page_that_is_gone_is_a_fault(self):
        self.change("materials/black-mastic.md", b"id: black-mastic", b"id: black-mastics")
        os.rename(self.inside("a/materials/black-mastic.md"), self.inside("a/materials/black-mastics.md"))
        told = self.faulty("a/systems/floors.md:")
        self.assertIn("unknown article 'black-mastic'; did you mean 'black-mastics'? [KB012]", " ".join(told))

    def test_one_id_for_two_pages_of_different_kinds_is_a_fault(self):
        support.write_bytes(self.inside("a/rules/black-mastic.md"), support.small_page("rule", "black-mastic"))
        told = self.faulty("a/rules/black-mastic.md:2: ")
        self.assertIn("is the id of a page in 'materials' too", " ".join(told))

    def test_a_firm_adds_a_page_by_writing_it(self):
        page = support.read_bytes(os.path.join(support.SOURCE, "tests", "demo", "firm", "cautions", "damp-basement.md"))
        os.makedirs(self.inside("firm/cautions"))
        support.write_bytes(self.inside("firm/cautions/damp-basement.md"), page)
        self.quiet(index("a", "firm", "-o", "firm.db", cwd=self.folder), 0)
        listed = support.letbe("list", "--json", "--db", self.inside("firm.db")).json()["articles"]
        self.assertIn("damp-basement", [a["id"] for a in listed])

    def test_a_drawing_without_a_page_and_a_drawing_that_runs_are_faults(self):
        os.rename(self.inside("a/materials/pipe-lagging.svg"), self.inside("a/materials/pipe-laging.svg"))
        self.change("materials/black-mastic.svg", b"<title", b"<script>1</script><title")
        told = self.faulty("a/materials/black-mastic.svg:", "a/materials/pipe-laging.svg:1: ")
        self.assertIn("did you mean 'pipe-lagging'? [KB051]", " ".join(told))

    def test_bytes_that_are_not_utf_8_are_a_fault(self):
        path = self.inside("a/materials/black-mastic.md")
        lines = support.read_bytes(path).count(b"\n")
        with open(path, "ab") as file:
            file.write(b"caf\xe9\n")
        self.faulty("a/materials/black-mastic.md:%d: " % (lines + 1))

    def test_a_page_over_64_kib_is_a_fault(self):
        with open(self.inside("a/materials/black-mastic.md"), "ab") as file:
            file.write(b"More words. " * 6000)
        self.faulty("a/materials/black-mastic.md:")

    def test_an_empty_page_is_a_fault(self):
        support.write_bytes(self.inside("a/materials/black-mastic.md"), b"")
        self.faulty("a/materials/black-mastic.md:1: ")

    def test_broken_yaml_in_the_vocabulary_is_a_fault(self):
        with open(self.inside("a/vocabulary/denial.yaml"), "ab") as file:
            file.write(b"\n: : [\n")
        self.faulty("a/vocabulary/denial.yaml:")


class WrongUse(support.Case):
    def told(self, arguments, code, *words):
        with self.subTest(arguments=arguments):
            self.complains(index(*arguments, cwd=self.folder), code, *words, program="letbe-index")
            self.assert_only()

    def test_wrong_use_is_one_line(self):
        self.told((), 2, "folder", "--help")
        self.told((support.ARTICLES,), 2, "-o FILE", "--help")
        self.told(("--chek", support.ARTICLES), 2, "--chek", "--check")
        self.told((support.ARTICLES, "-o"), 2, "--help")

    def test_a_missing_folder_is_named(self):
        self.told(("nowhere", "-o", "a.db"), 3, "nowhere", "No such file")
        self.told(("[a,b]", "-o", "a.db"), 3, "[a,b]")

    def test_a_missing_word_list_is_named(self):
        self.told((support.ARTICLES, "-o", "a.db", "--words", "nowhere"), 3, "nowhere", "--words")

    def test_an_output_that_cannot_be_is_named(self):
        self.told((support.ARTICLES, "-o", self.folder), 3, self.folder, "directory")
        self.told((support.ARTICLES, "-o", "no/a.db"), 3, "no/a.db", "No such file")

    def test_help_and_version_go_to_standard_output(self):
        self.assertIn(b"Exit codes", self.quiet(index("--help"), 0).out)
        self.assertRegex(self.quiet(index("--version"), 0).out, rb"^letbe-index [0-9.]+\n$")

    def test_a_full_device_as_standard_output_is_one_line(self):
        for arguments in (("--help",), ("--check", support.ARTICLES)):
            answer = support.shell('exec "$@" >/dev/full', support.LETBE_INDEX, *arguments)
            self.complains(answer, 3, "standard output", "; check", program="letbe-index")


class Interrupted(support.Case):
    def interrupted(self, command, number, wait, seen=True):
        """Sends a signal `wait` seconds after the first temporary file was seen, or after the start."""
        process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, env=support.environment())
        try:
            usual = set(os.listdir(self.folder))
            began = time.monotonic()
            while seen and set(os.listdir(self.folder)) == usual and process.poll() is None:
                self.assertLess(time.monotonic() - began, support.LONGEST)
            time.sleep(wait)
            process.send_signal(number)
            err = process.communicate(timeout=support.LONGEST)[1]
        finally:
            process.kill()
            process.wait()
        self.assertEqual(err, b"")
        self.assertIn(process.returncode, (0, -number))
        self.assert_only(*usual)
        return process.returncode != 0

    def old_or_whole(self, path, whole, ended):
        """Is the file the old one? Whole is right as well: the signal may come after the renaming."""
        held = support.read_bytes(path)
        self.assertTrue(held == whole or (ended and held == b"old"), "%d bytes, ended by the signal: %s" % (len(held), ended))
        return held == b"old"

    def test_a_signal_while_the_database_is_written_leaves_the_old_one_and_no_temporary(self):
        out = self.inside("a.db")
        stopped = 0
        for number in (signal.SIGTERM, signal.SIGINT, signal.SIGHUP):
            # While it is put together in memory, and then while the short writing goes on.
            for wait, seen in ((0.02, False), (0.06, False), (0, True), (0.001, True), (0.004, True)):
                with self.subTest(signal=number, wait=wait, seen=seen):
                    support.write_bytes(out, b"old")
                    ended = self.interrupted([support.LETBE_INDEX, support.ARTICLES, "-o", out], number, wait, seen)
                    stopped += self.old_or_whole(out, support.read_bytes(support.DATABASE), ended)
        self.assertGreaterEqual(stopped, 4)

    def test_a_signal_while_a_note_is_written_leaves_the_old_file_and_no_temporary(self):
        out = self.inside("out.txt")
        note = self.file("note.txt", support.WRAP * (2000 if support.SANITIZED else 60000))
        whole = support.letbe("note", note).out
        for number in (signal.SIGTERM, signal.SIGINT):
            for wait in (0, 0.001, 0.004):
                with self.subTest(signal=number, wait=wait):
                    support.write_bytes(out, b"old")
                    ended = self.interrupted([support.LETBE, "note", note, "-o", out], number, wait)
                    self.old_or_whole(out, whole, ended)


class Refused(support.Case):
    def test_a_folder_without_write_permission_is_named(self):
        place, before, (program,) = self.as_another_user(support.LETBE_INDEX)
        shutil.copytree(support.ARTICLES, os.path.join(place, "articles"))
        os.mkdir(os.path.join(place, "kept"))
        old = support.write_bytes(os.path.join(place, "kept", "a.db"), b"old")
        os.chmod(old, 0o666)
        os.chmod(os.path.dirname(old), 0o555)
        self.addCleanup(os.chmod, os.path.dirname(old), 0o755)
        answer = support.run(*before, program, "articles", "-o", old, cwd=place)
        self.complains(answer, 3, old, "Permission denied", program="letbe-index")
        self.assertEqual(support.read_bytes(old), b"old")
        self.assert_only("a.db", folder=os.path.dirname(old))

    def test_a_full_disk_leaves_the_old_database_and_no_temporary(self):
        size = os.path.getsize(support.DATABASE)
        # Full at the first page, in the middle, and when only the trailer is left to write.
        for room in (8, size // 2048, size // 1024 - 2):
            with self.subTest(room=room), self.small_disk("size=%dk" % room) as place:
                old = support.write_bytes(os.path.join(place, "a.db"), b"old")
                answer = index(support.ARTICLES, "-o", old)
                self.complains(answer, 3, old, "disk", program="letbe-index")
                self.assertEqual(support.read_bytes(old), b"old")
                self.assert_only("a.db", folder=place)


def current_umask():
    mask = os.umask(0)
    os.umask(mask)
    return mask


def version_in(said):
    return said.decode("utf-8").split("corpus ")[1].split(",")[0]


if __name__ == "__main__":
    support.main()
