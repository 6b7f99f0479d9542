#!/usr/bin/env python3
"""Spelling of the articles: hunspell with its US English dictionary and the words of the trade.

Checked: titles, names, places, soft ends, sources and bodies, and the fixed sentences of wording.yaml.
Not checked: heard-as, which is misspelt on purpose, seen-as, ids in backquotes, and what has a digit.
tests/spelling/trade-words.txt lists the words that hunspell does not know; each must be needed.
"""
import glob
import os
import re
import shutil
import subprocess
import sys
import unittest

ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.realpath(__file__))))
WORDS = os.path.join(ROOT, "tests", "spelling", "trade-words.txt")
HUNSPELL = shutil.which("hunspell")
KEY = re.compile(r"^([a-z-]+):")
SKIPPED_KEYS = {"heard-as", "seen-as", "id", "kind", "systems", "mistaken-for", "look-also", "cautions", "rules",
                "years", "asbestos", "friability", "us-class", "unstated", "us-line", "reviewed"}
WORD = re.compile(r"[A-Za-z][A-Za-z'’]*[A-Za-z]|[A-Za-z]")


def trade_words():
    with open(WORDS, encoding="utf-8") as file:
        return [line.strip() for line in file if line.strip() and not line.startswith("#")]


def checked_lines(path):
    """(line number, text) of what is checked in a page."""
    with open(path, encoding="utf-8") as file:
        lines = file.read().split("\n")
    fences, key = 0, ""
    for number, line in enumerate(lines, 1):
        if line == "---" and fences < 2:
            fences += 1
            continue
        if fences == 1:
            found = KEY.match(line)
            key = found.group(1) if found else key
            soft = re.match(r"\s+soft-end:(.*)", line)
            if key == "sources" and re.match(r"\s+(?:- )?(?:status|backs):", line):
                continue
            if soft:
                yield number, soft.group(1)
            elif key not in SKIPPED_KEYS:
                yield number, re.sub(r"^\s*(?:- )?[a-z-]+:", "", line)
        else:
            yield number, re.sub(r"`[^`]*`", "", line)


def words_by_place():
    """{word: first place}, of every page."""
    out = {}
    pages = sorted(glob.glob(os.path.join(ROOT, "articles", "*", "*.md")))
    pages.append(os.path.join(ROOT, "articles", "vocabulary", "wording.yaml"))
    for path in pages:
        for number, line in checked_lines(path):
            for token in re.findall(r"[\w'’-]+", line):
                if any(c.isdigit() for c in token):
                    continue
                for word in WORD.findall(token.replace("’", "'")):
                    out.setdefault(word, "%s:%d" % (os.path.relpath(path, ROOT), number))
    return out


def unknown(words):
    """Those of `words` that hunspell does not know, in the order given."""
    done = subprocess.run([HUNSPELL, "-d", "en_US", "-i", "utf-8", "-l"], input="\n".join(words) + "\n",
                          stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, encoding="utf-8", check=True)
    return done.stdout.split()


@unittest.skipIf(HUNSPELL is None, "no hunspell; tests/run installs it")
class Spelling(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.places = words_by_place()
        cls.unknown = unknown(list(cls.places))

    def test_the_checker_finds_a_misspelt_word(self):
        self.assertEqual(unknown(["asbestos", "insulaton", "insulation"]), ["insulaton"])

    maxDiff = None

    def test_every_word_is_known_to_the_checker_or_to_the_trade(self):
        listed = {w.lower() for w in trade_words()}
        wrong = ["%s: %s" % (self.places[w], w) for w in self.unknown if w.lower() not in listed]
        self.assertEqual(wrong, [], "correct it, or add a word of the trade to tests/spelling/trade-words.txt")

    def test_the_trade_words_are_sorted_and_each_is_needed(self):
        listed = trade_words()
        self.assertEqual(listed, sorted(set(listed), key=str.lower))
        needed = {w.lower() for w in self.unknown}
        self.assertEqual([w for w in listed if w.lower() not in needed], [], "take these out")

    def test_enough_is_checked(self):
        self.assertGreater(len(self.places), 2000)


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
