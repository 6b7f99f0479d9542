#!/usr/bin/env python3
"""letbe find: whatever is typed is taken as words, and the answer keeps its shape."""

import sys

sys.dont_write_bytecode = True

import random
import re
import string

import support

SEED = 99
RESULT = {"id": str, "kind": str, "title": str, "score": (int, float), "matched": list,
          "years": (str, type(None)), "friability": (str, type(None))}


class Find(support.Case):
    def check_shape(self, answer, typed):
        self.assertIn(answer.code, (0, 1), str(answer))
        self.assertEqual(answer.err, b"", str(answer))
        found = answer.json()
        self.assertEqual(found["schema"], 1)
        self.assertEqual(found["query"], typed)
        self.assertIsInstance(found["understood"]["year"], (int, type(None)))
        for correction in found["understood"]["corrections"]:
            self.assertLessEqual({"from", "to"}, set(correction))
        for result in found["results"] + found["nearest"]:
            for key, kind in RESULT.items():
                self.assertIsInstance(result[key], kind, key)
        scores = [result["score"] for result in found["results"]]
        self.assertEqual(scores, sorted(scores, reverse=True))
        self.assertEqual(answer.code, 0 if found["results"] else 1)
        self.assertFalse(found["results"] and found["nearest"])
        return found

    def taken(self, typed):
        """As JSON with its shape, and as text without a message but the one for no words at all."""
        found = self.check_shape(support.letbe("find", "--json", "--", typed), typed)
        text = support.letbe("find", "--", typed)
        self.assertEqual(text.code, 0 if found["results"] else 1, str(text))
        if found["results"] or found["nearest"]:
            self.assertEqual(text.err, b"", str(text))
            self.assertNotIn(b"\x1b", text.out)
        else:
            self.complains(text, 1, "type a few words")
        return found

    def test_every_ascii_sign_alone_and_inside_words_is_taken(self):
        for sign in string.punctuation + " \t\n\r\x01\x1b\x7f":
            with self.subTest(sign=sign):
                self.taken(sign)
                self.check_shape(support.letbe("find", "--json", "--", sign + "tile" + sign), sign + "tile" + sign)

    def test_signs_do_not_hide_the_word_beside_them(self):
        for typed in ("(tile", '"tile', "tile*", "tile OR", "NOT tile", "title:tile", "^tile", "tile?", "[tile,vinyl]", "{tile}", "tile'"):
            with self.subTest(typed=typed):
                ids = [r["id"] for r in self.taken(typed)["results"]]
                self.assertIn("vinyl-floor-tile", ids)

    def test_what_breaks_query_languages_is_taken(self):
        for typed in ('"', '""', "(tile", "[a,b]", "[a]", "[", '9"x9"', "9 x 9?", "pipe-lagging", "tile OR", "AND", "OR", "NOT", "NEAR",
                      "NEAR(a b, 3)", "what's", "pre-1980", "loose-fill", "-mastic", "foo:bar", "pop*corn", "100%", "#4", "$5",
                      "; DROP TABLE article", "' OR 1=1 --", "\\", "..", "a/c", "\u00bd inch", "caf\u00e9", "\U0001f3da", "\U0001f3da\ufe0f\u200d",
                      "\u0645\u0631\u062d\u0628\u0627", "\u4f60\u597d", "\u202etile", "e\u0301\u0301\u0301", "\ufeff", "--", "-"):
            with self.subTest(typed=typed):
                self.taken(typed)

    def test_invalid_utf_8_in_words_is_taken(self):
        for typed in (b"\xff", b"caf\xe9 tile", b"\xed\xa0\x80", b"tile\xc3"):
            with self.subTest(typed=typed):
                answer = support.letbe("find", "--json", "--", typed)
                self.assertIn((answer.code, answer.err), ((0, b""), (1, b"")))
                self.assertIn("\ufffd", answer.json()["query"])

    def test_known_names_with_signs_find_their_article(self):
        for typed, wanted in (("pipe-lagging", "pipe-lagging"), ('9"x9"', "vinyl-floor-tile"), ("9x9 tile", "vinyl-floor-tile"),
                              ("popcorn ceiling", "popcorn-ceiling"), ("POPCORN", "popcorn-ceiling")):
            with self.subTest(typed=typed):
                self.assertEqual(self.taken(typed)["results"][0]["id"], wanted)

    def test_no_words_at_all_are_told(self):
        for typed in ("", " ", "?!"):
            with self.subTest(typed=typed):
                self.taken(typed)

    def test_10_000_words_are_answered_and_the_limit_is_told(self):
        chance = random.Random(SEED)
        words = ["tile"] + ["".join(chance.choices(string.ascii_lowercase, k=6)) for _ in range(9999)]
        typed = " ".join(words)
        self.assertLess(len(typed), 100000)
        found = self.check_shape(support.letbe("find", "--json", typed), typed)
        self.assertLessEqual(found["understood"]["asked"], 64)
        self.check_shape(support.letbe("find", "--json", *words), typed)
        text = support.letbe("find", *words)
        self.assertEqual(text.err, b"")
        asked = (found["understood"]["asked"], found["understood"]["words"])
        self.assertIn(b"Asked for the %d rarest of %d different words" % asked, text.out)

    def test_of_many_known_words_the_64_rarest_are_asked(self):
        page = support.letbe("read", "vinyl-floor-tile").out.decode()
        typed = " ".join(sorted(set(re.findall(r"[a-z]{4,}", page.lower()))))
        self.assertEqual(self.check_shape(support.letbe("find", "--json", typed), typed)["understood"]["asked"], 64)

    def test_a_word_of_100_000_bytes_is_answered(self):
        for typed in ("a" * 100000, "tile " + "9" * 100000, "\u00e9" * 50000, "a-" * 50000):
            with self.subTest(typed=typed[:10]):
                self.check_shape(support.letbe("find", "--json", typed), typed)

    def test_a_typo_is_corrected_and_the_correction_is_told(self):
        found = self.taken("vermiculte")
        self.assertEqual(found["results"][0]["id"], "vermiculite-fill")
        self.assertIn({"from": "vermiculte", "to": "vermiculite"}, found["understood"]["corrections"])
        text = support.letbe("find", "vermiculte").out
        self.assertIn(b"vermiculite (typed: vermiculte)", text.splitlines()[0])

    def test_a_right_word_is_not_corrected(self):
        for typed in ("vermiculite", "kitchen", "safe"):
            with self.subTest(typed=typed):
                self.assertEqual(self.taken(typed)["understood"]["corrections"], [])

    def test_nothing_found_gives_1_and_the_nearest(self):
        found = self.check_shape(support.letbe("find", "--json", "zzqqxx"), "zzqqxx")
        self.assertEqual(found["results"], [])
        self.assertTrue(found["nearest"])
        text = self.quiet(support.letbe("find", "zzqqxx"), 1)
        self.assertIn(found["nearest"][0]["id"].encode(), text.out)

    def test_n_and_kind_and_built_bind(self):
        self.assertEqual(len(support.letbe("find", "--json", "-n", "2", "tile").json()["results"]), 2)
        kinds = {r["kind"] for r in support.letbe("find", "--json", "--kind", "caution", "laboratory").json()["results"]}
        self.assertEqual(kinds, {"caution"})
        self.assertEqual(support.letbe("find", "--json", "--built", "1956", "tile").json()["understood"]["year"], 1956)

    def test_text_names_the_limits_and_why_shows_the_score(self):
        self.assertIn(b"not an asbestos survey", self.quiet(support.letbe("find", "tile"), 0).out)
        self.assertIn(b"score ", self.quiet(support.letbe("find", "--why", "tile"), 0).out)

    def test_controls_typed_do_not_reach_the_terminal(self):
        self.assertNotIn(b"\x1b", support.letbe("find", "\x1b[31mvermiculte\x1b[0m").out)


if __name__ == "__main__":
    support.main()
