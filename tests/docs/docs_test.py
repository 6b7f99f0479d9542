#!/usr/bin/env python3
"""Checks that README.md and DEVELOPERS.md say what is true of the tree and of the program.

Where the program is built (build/cli/letbe, or $LETBE), the README's session is run too: every line
printed there must come out again, with "..." for whatever is left out.
"""
import os
import re
import shutil
import subprocess
import tempfile
import unittest

ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.realpath(__file__))))
DOCUMENTS = ("README.md", "DEVELOPERS.md")
LETBE = os.path.abspath(os.environ.get("LETBE") or os.path.join(ROOT, "build", "cli", "letbe"))
MADE = ("build/", "build-sanitize/")  # Folders that only a build makes.
PATH = re.compile(r"(?:\./)?[A-Za-z0-9_.-]+(?:/[A-Za-z0-9_.-]+)*/?")
FILE_NAME = re.compile(r"[a-z0-9-]+\.(?:yaml|md|tsv|h|cpp|py|jsonl|txt)")
EXAMPLES = {"inspection.txt", "report.txt", "cautions/debris-and-dust.md"}  # Files of the reader's own.


def read(name):
    with open(os.path.join(ROOT, name), encoding="utf-8") as file:
        return file.read()


def tree():
    """Every file of the tree, relative, without what is built or downloaded."""
    out = []
    for folder, folders, files in os.walk(ROOT):
        folders[:] = sorted(f for f in folders if f not in (".git", "node_modules", "__pycache__")
                            and not (folder == ROOT and f.startswith("build")))
        out += [os.path.relpath(os.path.join(folder, f), ROOT) for f in files]
    return sorted(out)


TREE = tree()
TOP = {p.split("/")[0] for p in TREE if "/" in p}
BASENAMES = {os.path.basename(p) for p in TREE}


def code_of(text):
    """Everything in backticks, and every line of a code block that is no session."""
    blocks = re.findall(r"^```(?!console)\w*\n(.*?)^```", text, re.M | re.S)
    rest = re.sub(r"^```.*?^```", "", text, flags=re.M | re.S)
    lines = [line for line in rest.split("\n") if line.startswith("    ")]
    return re.findall(r"`([^`]+)`", rest) + lines + [line for block in blocks for line in block.split("\n")]


def paths_named(text):
    """The relative paths of `text`: in backticks, in code blocks, and as targets of links."""
    found = [target for target in re.findall(r"\]\(([^)#]+)\)", text) if "://" not in target]
    for code in code_of(text):
        for word in re.split(r"[\s,;=|]+", code):
            word = word.rstrip(".:")
            if not PATH.fullmatch(word) or word in EXAMPLES:
                continue
            plain = word.removeprefix("./")
            if word.startswith("./") or plain.split("/")[0] in TOP and "/" in plain or FILE_NAME.fullmatch(plain):
                found.append(plain)
    return sorted({p for p in found if not p.startswith(MADE)})


def exists(path):
    return os.path.exists(os.path.join(ROOT, path)) or "/" not in path and path in BASENAMES


def session(text):
    """(command, expected lines) of every console block, in order."""
    out = []
    for block in re.findall(r"^```console\n(.*?)^```", text, re.M | re.S):
        for line in block.rstrip("\n").split("\n"):
            if line.startswith("$ "):
                out.append((line[2:], []))
            else:
                out[-1][1].append(line.rstrip())
    return out


def steady(text):
    """Without what changes with every edit of an article: the corpus digest and the stamp's digits."""
    text = re.sub(r"(letbe corpus )\S+; [0-9a-f]{8}", r"\1VERSION", text)
    return "\n".join(line.rstrip() for line in text.rstrip("\n").split("\n"))


def pattern(lines):
    text = steady("\n".join(lines))
    return re.compile(".*".join(re.escape(part) for part in text.split("...")), re.S)


class Documents(unittest.TestCase):
    def test_every_path_exists(self):
        for name in DOCUMENTS:
            paths = paths_named(read(name))
            self.assertTrue(len(paths) >= 3, "%s names no paths; has its form changed?" % name)
            for path in paths:
                with self.subTest(document=name, path=path):
                    self.assertTrue(exists(path), "%s names '%s', which is not there" % (name, path))

    def test_a_wrong_path_is_found(self):
        text = "See `kb/nosuch.h`, [x](tests/nosuch/), `nosuch.yaml`, `kb/text.h` and `and/or`.\n\n    ./cli/nosuch --x\n"
        self.assertEqual([p for p in paths_named(text) if not exists(p)],
                         ["cli/nosuch", "kb/nosuch.h", "nosuch.yaml", "tests/nosuch/"])

    def test_the_two_commands(self):
        text = read("README.md")
        for command in ("cli/try", "tests/run"):
            self.assertRegex(text, r"(?m)^    \./%s\b" % command)
            self.assertTrue(os.access(os.path.join(ROOT, command), os.X_OK), command + " is not executable")

    def test_every_vocabulary_file_and_key_is_explained(self):
        text = read("DEVELOPERS.md")
        files = [p for p in TREE if p.startswith("articles/vocabulary/")]
        self.assertTrue(files)
        for path in files:
            row = re.search(r"(?m)^\| `%s` \|(.*)$" % re.escape(os.path.basename(path)), text)
            with self.subTest(file=path):
                self.assertIsNotNone(row, "DEVELOPERS.md has no row for " + path)
                for key in re.findall(r"(?m)^([a-z][a-z-]*):", read(path)):
                    self.assertIn("`%s`" % key, row.group(1), "%s: the key is not in its row" % path)

    def test_every_header_of_the_library_is_explained(self):
        text = read("DEVELOPERS.md")
        for path in TREE:
            if path.startswith("kb/") and path.endswith(".h"):
                self.assertIn("`%s`" % os.path.basename(path)[:-2], text, path)
            elif path.startswith(("indexer/", "cli/")) and path.endswith(".h"):
                self.assertIn("`%s`" % path, text, path)

    def test_every_folder_is_explained(self):
        text = read("DEVELOPERS.md")
        folders = {p.split("/")[0] for p in TREE if "/" in p and not p.startswith(".")}
        folders |= {"/".join(p.split("/")[:2]) for p in TREE if p.startswith("tests/") and p.count("/") > 1}
        for folder in sorted(folders - {"tests"}):
            self.assertIn("`%s/`" % folder, text, folder)

    def test_length(self):
        self.assertLess(read("README.md").count("\n"), 200)
        self.assertLess(read("DEVELOPERS.md").count("\n"), 350)

    def test_no_home_path_anywhere(self):
        homes = re.compile(r"(?<![\w.$})\]])/(?:home|root|Users)/[\w.]")
        for path in TREE:
            with open(os.path.join(ROOT, path), "rb") as file:
                data = file.read().decode("utf-8", "replace")
            found = homes.search(data)
            self.assertIsNone(found, "%s: %s" % (path, found and data[max(0, found.start() - 30):found.end() + 30]))
            if ROOT.count("/") > 1:
                self.assertNotIn(ROOT + "/", data, path)


INDEX = os.path.abspath(os.environ.get("LETBE_INDEX") or os.path.join(ROOT, "build", "indexer", "letbe-index"))


@unittest.skipUnless(os.access(INDEX, os.X_OK), "letbe-index is not built")
class FirmExample(unittest.TestCase):
    def test_the_page_that_the_readme_shows_is_sound(self):
        page = re.search(r"^```markdown\n(.*?)^```", read("README.md"), re.M | re.S).group(1)
        with tempfile.TemporaryDirectory() as folder:
            os.makedirs(os.path.join(folder, "cautions"))
            with open(os.path.join(folder, "cautions", "debris-and-dust.md"), "w", encoding="utf-8") as file:
                file.write(page)
            done = subprocess.run([INDEX, os.path.join(ROOT, "articles"), folder, "--check"], capture_output=True, text=True)
        self.assertEqual((done.returncode, done.stderr), (0, ""))


@unittest.skipUnless(os.access(LETBE, os.X_OK), "letbe is not built")
class Program(unittest.TestCase):
    def run_in(self, folder, command):
        env = {k: v for k, v in os.environ.items() if k not in ("LETBE_DB", "NO_COLOR", "COLUMNS")}
        env["PATH"] = folder + os.pathsep + env["PATH"]
        return subprocess.run(["bash", "-c", command], cwd=folder, env=env, stdout=subprocess.PIPE,
                              stderr=subprocess.STDOUT, timeout=60, check=False).stdout.decode("utf-8")

    def test_the_session_is_true(self):
        steps = session(read("README.md"))
        self.assertTrue(len(steps) >= 3)
        with tempfile.TemporaryDirectory() as folder:
            os.symlink(LETBE, os.path.join(folder, "letbe"))
            for command, lines in steps:
                if command.startswith("cat "):
                    with open(os.path.join(folder, command[4:]), "w", encoding="utf-8") as file:
                        file.write("\n".join(lines) + "\n")
                    continue
                got = steady(self.run_in(folder, command))
                self.assertIsNotNone(pattern(lines).fullmatch(got),
                                     "the README's session differs; '%s' now prints:\n%s" % (command, got))

    def test_every_command_and_option_is_listed(self):
        text = read("README.md")
        with tempfile.TemporaryDirectory() as folder:
            os.symlink(LETBE, os.path.join(folder, "letbe"))
            help_text = self.run_in(folder, "letbe --help")
            commands = re.findall(r"(?m)^  ([a-z]+)  +\S", help_text.split("Subcommands:")[1].split("Examples:")[0])
            self.assertIn("note", commands)
            for command in commands:
                row = re.search(r"(?m)^\| `letbe %s[ `].*$" % command, text)
                self.assertIsNotNone(row, "the README has no row for 'letbe %s'" % command)
                options = re.findall(r"(?m)^  (?:-\w,)?(--[a-z-]+)", self.run_in(folder, "letbe %s --help" % command))
                short = {"--output": "-o FILE", "--most": "-n N"}
                for option in set(options) - {"--help", "--db"}:
                    known = option in row.group(0) or short.get(option, option) in row.group(0)
                    # The same as --as json, told below the table.
                    self.assertTrue(known or (command, option) == ("note", "--json"), "letbe %s %s" % (command, option))

    def test_the_limits_are_told(self):
        self.assertIsNotNone(shutil.which("bash"))
        text = " ".join(read("README.md").split())
        for limit in ("not an asbestos survey", "Only laboratory analysis confirms", "Local rules and licensed practice decide"):
            self.assertIn(limit, text)


if __name__ == "__main__":
    unittest.main()
