"""What the tests of the command line share: where the programs are, and how one is run.

The programs are real processes. Nothing is written outside temporary folders.
"""

import contextlib
import json
import os
import shutil
import stat
import subprocess
import tempfile
import unittest

ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))


def _path(variable, *default):
    return os.path.abspath(os.environ.get(variable) or os.path.join(ROOT, *default))


LETBE = _path("LETBE", "build", "cli", "letbe")
LETBE_INDEX = _path("LETBE_INDEX", "build", "indexer", "letbe-index")
DATABASE = _path("LETBE_DB_FILE", "build", "letbe.db")
SOURCE = os.path.abspath(os.environ.get("LETBE_SOURCE") or ROOT)
ARTICLES = os.path.join(SOURCE, "articles")
DEMO = os.path.join(SOURCE, "tests", "demo", "split-level.txt")
NOTES = os.path.join(SOURCE, "tests", "eval", "notes.jsonl")
SANITIZED = os.environ.get("LETBE_SANITIZED") == "1"
LONGEST = 300 if SANITIZED else 60  # Seconds one process may take before it counts as hanging.
NOBODY = 65534

WRAP = b"The white paper wrap on the supply boot is torn.\n"
PLAIN = b"The gutters are clean and the roof is new.\n"


def environment(**more):
    """The tests' own environment without what the programs read."""
    clean = {k: v for k, v in os.environ.items() if k not in ("LETBE_DB", "NO_COLOR", "COLUMNS")}
    clean.update(more)
    return clean


class Answer:
    """What a finished process left behind."""

    def __init__(self, arguments, code, out, err):
        self.arguments = [a if len(a) < 200 else a[:200] + "..." for a in map(str, arguments)]
        self.code, self.out, self.err = code, out, err

    def __str__(self):
        return "%s\nexit code %s\nstdout %r\nstderr %r" % (
            " ".join(self.arguments), self.code, self.out[:600], self.err[:600])

    def json(self):
        return json.loads(self.out.decode("utf-8"))


def run(*arguments, given=b"", env=None, cwd=None):
    """Runs a program to its end with `given` on standard input."""
    done = subprocess.run(arguments, input=given, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                          env=env or environment(), cwd=cwd, timeout=LONGEST, check=False)
    return Answer(arguments, done.returncode, done.stdout, done.stderr)


def letbe(*arguments, **more):
    return run(LETBE, *arguments, **more)


def shell(script, *arguments, **more):
    """Runs a line of bash; `arguments` are its $1, $2, ..."""
    return run("bash", "-c", script, "bash", *arguments, **more)


def read_bytes(path):
    with open(path, "rb") as file:
        return file.read()


def write_bytes(path, data):
    with open(path, "wb") as file:
        file.write(data)
    return path


def load_notes():
    with open(NOTES, encoding="utf-8") as file:
        return [json.loads(line) for line in file if line.strip()]


def small_page(kind, name, front=""):
    """A whole page without a fault, as short as the schema lets it be; `front` holds lines of its own."""
    sections = {"system": ("In short", "The walk", "Often replaced, often left", "When to stay out", "Look also"),
                "era": ("In short", "What to expect", "What has usually changed", "Look also"),
                "caution": ("Report wording", "Why", "Nobody should", "For the homeowner"),
                "rule": ("In short", "What it says", "Who it binds", "Common misreading", "Known as of"),
                "lookalike": ("In short", "How it looks", "How to tell them apart", "Report wording", "For the homeowner")}[kind]
    return ("---\nid: %s\nkind: %s\ntitle: Page %s\nnames: [%s]\nheard-as: []\n%s"
            "sources: [{cite: A book, backs: [names], status: from memory}]\nreviewed: 2026-11-25\n---\n" % (name, kind, name, name, front)
            + "".join("\n## %s\nSeen from where you stand.\n" % heading for heading in sections)).encode()


def title(article):
    """The article's title; its words may improve."""
    return {a["id"]: a["title"] for a in letbe("list", "--json").json()["articles"]}[article].encode()


class Case(unittest.TestCase):
    """A test with a folder of its own and checks for one answer."""

    maxDiff = 2000

    def setUp(self):
        self.folder = tempfile.mkdtemp(prefix="letbe-test-")
        self.addCleanup(shutil.rmtree, self.folder, ignore_errors=True)

    def file(self, name, data=b""):
        return write_bytes(os.path.join(self.folder, name), data)

    def inside(self, name):
        return os.path.join(self.folder, name)

    def quiet(self, answer, code):
        """The exit code, and nothing on standard error."""
        self.assertEqual((answer.code, answer.err), (code, b""), str(answer))
        return answer

    def complains(self, answer, code, *words, program="letbe"):
        """The exit code, nothing on standard output, and one line that holds each of `words`."""
        self.assertEqual(answer.code, code, str(answer))
        self.assertEqual(answer.out, b"", str(answer))
        line = answer.err.decode("utf-8")
        self.assertEqual(line.count("\n"), 1, str(answer))
        self.assertTrue(line.endswith("\n"), str(answer))
        self.assertTrue(line.startswith(program + ": "), str(answer))
        self.assertLess(len(line), 500, str(answer))
        for word in words:
            self.assertIn(word, line, str(answer))
        return line

    def assert_only(self, *names, folder=None):
        """The folder holds these files and no other: no temporary stayed."""
        self.assertEqual(sorted(os.listdir(folder or self.folder)), sorted(names))

    def as_another_user(self, *programs):
        """A folder anybody may enter with copies of `programs`, and what to put before a command.

        For root every folder is writable, so root's rights are dropped; another user keeps its own.
        """
        place = tempfile.mkdtemp(prefix="letbe-other-")
        self.addCleanup(shutil.rmtree, place, ignore_errors=True)
        os.chmod(place, 0o755)
        copies = []
        for program in programs:
            copy = os.path.join(place, os.path.basename(program))
            shutil.copyfile(program, copy)
            os.chmod(copy, 0o755)
            copies.append(copy)
        before = []
        if os.geteuid() == 0:
            if shutil.which("setpriv") is None:
                self.skipTest("setpriv is missing")
            before = ["setpriv", "--reuid", str(NOBODY), "--regid", str(NOBODY), "--clear-groups"]
        return place, before, copies

    @contextlib.contextmanager
    def small_disk(self, options):
        """A tmpfs of its own; skipped where this user may mount none."""
        place = tempfile.mkdtemp(prefix="letbe-disk-")
        mounted = os.geteuid() == 0 and subprocess.run(
            ["mount", "-t", "tmpfs", "-o", options, "tmpfs", place],
            stderr=subprocess.DEVNULL, check=False).returncode == 0
        try:
            if not mounted:
                self.skipTest("only a user who may mount can make a small disk")
            yield place
        finally:
            if mounted:
                subprocess.run(["umount", place], check=True)
            os.rmdir(place)


def mode_of(path):
    return stat.S_IMODE(os.stat(path).st_mode)


def main():
    unittest.main()
