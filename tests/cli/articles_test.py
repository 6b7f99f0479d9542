#!/usr/bin/env python3
"""letbe read, list and about."""

import sys

sys.dont_write_bytecode = True

import os

import support


def pages():
    """The id of each page of the articles, with the folder of its kind."""
    found = {}
    for folder in os.listdir(support.ARTICLES):
        path = os.path.join(support.ARTICLES, folder)
        if os.path.isdir(path):
            found.update((name[:-3], folder) for name in os.listdir(path) if name.endswith(".md"))
    return found


class Read(support.Case):
    def test_an_unknown_id_is_named_with_the_nearest(self):
        self.complains(support.letbe("read", "vinyl-floor-tiles"), 2, "vinyl-floor-tiles", "'vinyl-floor-tile'")
        self.complains(support.letbe("read", "pipe-laging"), 2, "'pipe-lagging'")
        self.complains(support.letbe("read", "qqqqqqqqqqqqqqqqqq"), 2, "qqqqqqqqqqqqqqqqqq", "letbe list")
        for odd in ("", "a\nb", "\x1b[31m", "'", "%s%n", "x" * 200, "../articles", "\U0001f3da"):
            with self.subTest(odd=odd):
                self.assertNotIn("\x1b", self.complains(support.letbe("read", odd), 2, "unknown article"))

    def test_every_article_reads_as_text_json_and_html(self):
        ids = [a["id"] for a in support.letbe("list", "--json").json()["articles"]]
        for name in ids[::6 if support.SANITIZED else 1]:
            with self.subTest(id=name):
                page = self.quiet(support.letbe("read", name, "--json"), 0).json()
                self.assertEqual((page["schema"], page["id"], page["front"]["id"]), (1, name, name))
                self.assertTrue(page["sections"])
                for section in page["sections"]:
                    self.assertEqual({"level": int, "heading": str, "markdown": str},
                                     {key: type(value) for key, value in section.items()})
                text = self.quiet(support.letbe("read", name), 0).out
                self.assertNotIn(b"\x1b", text)
                self.assertTrue(text.decode("utf-8").startswith(page["title"].split(" ")[0]))
                self.assertIn(b"not an asbestos survey", b" ".join(text.split()))
                html = self.quiet(support.letbe("read", name, "--html"), 0).out.lower()
                self.assertTrue(html.startswith(b"<!doctype html>"))
                for foreign in (b"<script", b"javascript:", b" onload=", b" onclick=", b"src=", b"@import"):
                    self.assertNotIn(foreign, html)

    def test_a_drawing_is_told_in_the_terminal_and_shown_in_html(self):
        text = self.quiet(support.letbe("read", "pipe-lagging"), 0).out.decode()
        looks = text.split("How it looks\n")[1].split("Where and when\n")[0]
        self.assertRegex(looks, r"\n\nDrawing: \w[^<\\]+\.\n\n$")
        drawing = self.quiet(support.letbe("read", "pipe-lagging", "--json"), 0).json()["drawing"]
        self.assertTrue(drawing.startswith('<svg xmlns="http://www.w3.org/2000/svg" '))
        html = self.quiet(support.letbe("read", "pipe-lagging", "--html"), 0).out.decode()
        figure = html.split("How it looks</h2>")[1].split("<h2>")[0].split("<figure>\n")[1]
        self.assertTrue(figure.startswith("<svg "))
        self.assertIn("<figcaption>", figure)
        self.assertNotIn(b"<svg", support.letbe("read", "pipe-lagging", "--html", "--for", "homeowner").out)
        self.assertNotIn(b"Drawing:", support.letbe("read", "pipe-lagging", "--for", "report").out)
        self.assertIsNone(support.letbe("read", "attic", "--json").json()["drawing"])
        self.assertNotIn(b"<figure", support.letbe("read", "attic", "--html").out)

    def test_lines_of_piped_text_fit_80_columns_whatever_the_environment_says(self):
        text = support.letbe("read", "vinyl-floor-tile", env=support.environment(TERM="xterm-256color")).out
        self.assertNotIn(b"\x1b", text)
        longest = max(len(line) for line in text.decode("utf-8").splitlines() if " " in line.strip())
        self.assertLessEqual(longest, 80)
        self.assertGreater(longest, 60)

    def test_for_a_reader_only_his_or_her_part_is_shown(self):
        whole = support.letbe("read", "vinyl-floor-tile").out
        home = self.quiet(support.letbe("read", "vinyl-floor-tile", "--for", "homeowner"), 0).out
        self.assertIn(b"For the homeowner", home)
        self.assertNotIn(b"Report wording", home)
        report = self.quiet(support.letbe("read", "vinyl-floor-tile", "--for", "report"), 0).out
        self.assertIn(b"Report wording", report)
        self.assertNotIn(b"For the homeowner", report)
        inspector = self.quiet(support.letbe("read", "vinyl-floor-tile", "--for", "inspector"), 0).out
        self.assertNotIn(b"For the homeowner", inspector)
        for part in (home, report, inspector):
            self.assertLess(len(part), len(whole))

    def test_a_page_without_that_part_says_so(self):
        self.complains(support.letbe("read", "warm-air-ducts", "--for", "report"), 1, "warm-air-ducts", "report", "leave --for out")


class List(support.Case):
    def test_json_holds_every_page_once(self):
        answer = self.quiet(support.letbe("list", "--json"), 0).json()
        self.assertEqual(answer["schema"], 1)
        listed = [(a["id"], a["kind"]) for a in answer["articles"]]
        self.assertEqual(dict(listed).keys(), pages().keys())
        self.assertEqual(len(listed), len(pages()))
        for name, kind in listed:
            self.assertIn(pages()[name], (kind, kind + "s"))
        self.assertEqual(answer["unwritten"], [])
        for page in answer["articles"]:
            self.assertEqual({key: type(value) for key, value in page.items()}, {"id": str, "kind": str, "title": str})

    def test_text_names_every_page(self):
        text = self.quiet(support.letbe("list"), 0).out
        self.assertNotIn(b"\x1b", text)
        for page in support.letbe("list", "--json").json()["articles"]:
            self.assertIn(("  " + page["id"] + "  ").encode(), text)

    def test_one_kind_shows_only_that_kind(self):
        answer = self.quiet(support.letbe("list", "--kind", "caution", "--json"), 0).json()
        self.assertEqual({a["kind"] for a in answer["articles"]}, {"caution"})
        self.assertNotIn(b"vinyl-floor-tile", support.letbe("list", "--kind", "caution").out)


class About(support.Case):
    def test_json_has_versions_counts_and_limits(self):
        about = self.quiet(support.letbe("about", "--json"), 0).json()
        self.assertEqual(about["schema"], 1)
        self.assertEqual((about["articles"], about["planned"]), (len(pages()), len(pages())))
        self.assertEqual(about["database"]["source"], "built in")
        self.assertEqual(support.letbe("--version").out.decode(), "letbe %s\n" % about["version"])
        self.assertTrue(any("not an asbestos survey" in line for line in about["limits"]))

    def test_text_has_the_same(self):
        text = self.quiet(support.letbe("about"), 0).out
        self.assertIn(support.letbe("about", "--json").json()["corpus"].encode(), text)
        self.assertIn(b"not an asbestos survey", text)

    def test_advice_prints_the_table_with_every_level(self):
        text = self.quiet(support.letbe("about", "--advice"), 0).out.decode()
        table = self.quiet(support.letbe("about", "--advice", "--json"), 0).json()
        self.assertEqual(table["schema"], 1)
        self.assertEqual({row["advice"] for row in table["rows"]}, {"keep-out", "evaluate", "leave"})
        self.assertEqual((table["rows"][-1]["advice"], table["rows"][-1]["when"]), ("leave", {}))
        for row in table["rows"]:
            self.assertIn("(%s)" % row["because"], text)
        self.assertIn("licensed or accredited asbestos professional", text.replace("\n", " "))
        self.assertIn("loose-fill-asbestos", text)


if __name__ == "__main__":
    support.main()
