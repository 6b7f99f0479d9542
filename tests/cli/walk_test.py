#!/usr/bin/env python3
"""letbe walk: what to look for in a house of some year, place by place."""

import sys

sys.dont_write_bytecode = True

import os
import re
import shutil
import subprocess
import unittest

import support

LIMITS = b"not an asbestos survey"


def one_line(data):
    return b" ".join(data.split())


class Walk(support.Case):
    def test_the_list_is_text_without_escapes_in_80_columns(self):
        out = self.quiet(support.letbe("walk", "--built", "1956", env=support.environment(TERM="xterm-256color")), 0).out
        self.assertNotIn(b"\x1b", out)
        self.assertLessEqual(max(len(line) for line in out.decode("utf-8").splitlines()), 80)
        self.assertTrue(out.startswith(b"Walk through a house of 1956\n"))
        heads = [out.index(head) for head in (b"\nYard", b"\nRoof", b"\nOutside", b"\nGarage", b"\nBasement", b"\nKitchen", b"\nAttic")]
        self.assertEqual(heads, sorted(heads))
        self.assertIn(LIMITS, one_line(out))

    def test_json_is_one_document_with_each_material_once(self):
        first = self.quiet(support.letbe("walk", "--built", "1956", "--json"), 0)
        self.assertEqual(first.out, support.letbe("walk", "--built", "1956", "--as", "json").out)
        page = first.json()
        self.assertEqual((page["schema"], page["built"], page["first"], page["seen"]), (1, 1956, [], []))
        ids = [m["id"] for place in page["places"] for m in place["materials"]] + [i for place in page["places"] for i in place["reuse"]]
        self.assertEqual(len(ids), len(set(ids)))
        self.assertEqual(sorted(ids), sorted(a["id"] for a in support.letbe("list", "--kind", "material", "--json").json()["articles"]))
        wrap = next(m for place in page["places"] for m in place["materials"] if m["id"] == "duct-paper-wrap")
        self.assertEqual((wrap["fit"], wrap["from"], wrap["to"], wrap["mark"]), ("likely", 1910, 1980, "keep-back"))

    def test_a_later_house_has_older_stock_by_name_only(self):
        page = support.letbe("walk", "--built", "2010", "--json").json()
        self.assertIn("pipe-lagging", [i for place in page["places"] for i in place["reuse"]])
        self.assertIn(b"Older stock or reuse only: ", support.letbe("walk", "--built", "2010").out)

    def test_what_was_seen_comes_with_what_to_look_for_next(self):
        page = self.quiet(support.letbe("walk", "--built", "1956", "--seen", "pipe-lagging", "duct-paper-wrap", "--json"), 0).json()
        self.assertEqual(page["seen"], ["pipe-lagging", "duct-paper-wrap"])
        self.assertEqual(page["first"][0]["beside"], ["pipe-lagging", "duct-paper-wrap"])
        out = support.letbe("walk", "--built", "1956", "--seen", "pipe-lagging", "--seen", "duct-paper-wrap").out
        self.assertLess(out.index(b"Look for these first"), out.index(b"\nYard"))

    def test_only_some_systems(self):
        page = self.quiet(support.letbe("walk", "--built", "1956", "--system", "warm-air-ducts", "attic", "--json"), 0).json()
        ids = [m["id"] for place in page["places"] for m in place["materials"]]
        self.assertIn("vermiculite-fill", ids)
        self.assertIn("duct-paper-wrap", ids)
        self.assertNotIn("vinyl-floor-tile", ids)

    def test_wrong_use_is_named(self):
        self.complains(support.letbe("walk"), 2, "--built")
        self.complains(support.letbe("walk", "--built", "old"), 2, "--built")
        self.complains(support.letbe("walk", "--built", "1956", "--system", "atic"), 2, "unknown system 'atic'", "'attic'")
        self.complains(support.letbe("walk", "--built", "1956", "--seen", "pipe-laging"), 2, "unknown material 'pipe-laging'", "'pipe-lagging'")
        self.complains(support.letbe("walk", "--built", "1956", "--seen", "attic"), 2, "unknown material 'attic'")
        self.complains(support.letbe("walk", "--built", "1956", "--as", "pdf"), 2, "--as")
        self.complains(support.letbe("walk", "--built", "1956", "--seen", "\x1b[31m"), 2, "unknown material")

    def test_markdown_and_html_have_empty_boxes_and_no_script(self):
        self.assertIn(b"- [ ] **", self.quiet(support.letbe("walk", "--built", "1956", "--as", "markdown"), 0).out)
        page = self.inside("walk.html")
        self.assertEqual(self.quiet(support.letbe("walk", "--built", "1956", "--as", "html", "-o", page), 0).out, b"")
        self.assert_only("walk.html")
        html = support.read_bytes(page)
        self.assertIn(b'<input type="checkbox">', html)
        self.assertIn(LIMITS, html)
        for foreign in (b"<script", b"src=", b"href=", b"url(", b"@import", b" checked"):
            self.assertNotIn(foreign, html)

    def test_nothing_is_cleared_or_ordered(self):
        for form in ("text", "html"):
            out = one_line(support.letbe("walk", "--built", "1975", "--seen", "cement-siding", "--as", form).out).decode("utf-8").lower()
            out = out.replace("(safe-insulation)", "")  # An id: the insulation of a safe.
            for word in (r"\bsafe\b", "asbestos-free", "free of asbestos", r"\bscrape\b", r"\btake a sample\b"):
                self.assertIsNone(re.search(word, out), word)

    @unittest.skipUnless(shutil.which("chromium"), "chromium is not installed")
    def test_a_print_has_two_sheets_at_most(self):
        for built, seen in (("1890", ()), ("1925", ()), ("1955", ()), ("1975", ()), ("1925", ("wire-insulation", "plaster", "black-mastic"))):
            with self.subTest(built=built, seen=seen):
                page, pdf = self.inside("walk.html"), self.inside("walk.pdf")
                self.quiet(support.letbe("walk", "--built", built, *(["--seen", *seen] if seen else []), "--as", "html", "-o", page), 0)
                subprocess.run(["chromium", "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer",
                                "--user-data-dir=" + self.inside("profile"), "--print-to-pdf=" + pdf, page],
                               stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, timeout=3 * support.LONGEST, check=True)
                sheets = len(re.findall(rb"/Type\s*/Page\b", support.read_bytes(pdf)))
                self.assertIn(sheets, (1, 2))
                os.remove(pdf)


if __name__ == "__main__":
    support.main()
