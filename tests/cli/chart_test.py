#!/usr/bin/env python3
"""letbe chart: when each material was used."""

import sys

sys.dont_write_bytecode = True

import os
import pty
import xml.etree.ElementTree as tree

import support

SVG = "{http://www.w3.org/2000/svg}"


class Chart(support.Case):
    def test_piped_it_is_plain_and_fits_80_columns(self):
        out = self.quiet(support.letbe("chart", "--built", "1956", env=support.environment(TERM="xterm-256color")), 0).out
        self.assertNotIn(b"\x1b", out)
        lines = out.decode("ascii").splitlines()
        self.assertLessEqual(max(map(len, lines)), 80)
        self.assertIn("not an asbestos survey", " ".join(out.decode("ascii").split()))
        row = next(line for line in lines if line.startswith("  duct-paper-wrap "))
        self.assertRegex(row, r"^  duct-paper-wrap +\.? +=+\|=+-+")
        house = {line.index("|") for line in lines if line.startswith("  ") and "|" in line}
        self.assertEqual(len(house), 1)

    def test_without_a_year_there_is_no_line(self):
        self.assertNotIn(b"|", self.quiet(support.letbe("chart"), 0).out)

    def test_on_a_terminal_it_is_colored_and_fits_the_window(self):
        for columns, colored in ((40, True), (100, True), (72, False)):
            with self.subTest(columns=columns):
                ours, theirs = pty.openpty()
                env = support.environment(TERM="xterm", COLUMNS=str(columns), **({} if colored else {"NO_COLOR": "1"}))
                done = support.subprocess.Popen([support.LETBE, "chart", "--built", "1956", "--system", "attic"], stdout=theirs, env=env)
                os.close(theirs)
                data = b""
                try:
                    while part := os.read(ours, 65536):
                        data += part
                except OSError:  # The other end is closed.
                    pass
                os.close(ours)
                self.assertEqual(done.wait(support.LONGEST), 0)
                self.assertEqual(b"\x1b[1;36m" in data, colored)
                text = data.decode("utf-8")
                for code in ("\x1b[1;36m", "\x1b[1;33m", "\x1b[22;39m", "\x1b[22m", "\x1b[2m", "\r"):
                    text = text.replace(code, "")
                self.assertNotIn("\x1b", text)
                self.assertLessEqual(max(map(len, text.splitlines())), columns)

    def test_the_picture_is_well_formed_and_described(self):
        page = self.inside("chart.svg")
        self.assertEqual(self.quiet(support.letbe("chart", "--built", "1956", "--as", "svg", "-o", page), 0).out, b"")
        self.assert_only("chart.svg")
        root = tree.parse(page).getroot()
        self.assertEqual((root.tag, root.get("role")), (SVG + "svg", "img"))
        self.assertEqual(root[0].tag, SVG + "title")
        self.assertEqual(root[1].tag, SVG + "desc")
        self.assertIn("Vinyl floor tile 1950 to 1985", root[1].text)
        words = [t.text for t in root.iter(SVG + "text")]
        for wanted in ("Vinyl floor tile", "1950–1985", "the house, 1956"):
            self.assertIn(wanted, words)
        width = float(root.get("viewBox").split()[2])
        for box in root.iter(SVG + "rect"):
            self.assertGreaterEqual(float(box.get("x")), 0)
            self.assertGreater(float(box.get("width")), 0)
            self.assertLessEqual(float(box.get("x")) + float(box.get("width")), width)

    def test_any_year_that_may_be_typed(self):
        for built in ("1500", "1890", "2100"):
            for form in ("text", "svg", "markdown"):
                self.quiet(support.letbe("chart", "--built", built, "--as", form), 0)

    def test_wrong_use_is_named(self):
        self.complains(support.letbe("chart", "--system", "flors"), 2, "unknown system 'flors'", "'floors'")
        self.complains(support.letbe("chart", "--as", "png"), 2, "--as")
        self.complains(support.letbe("chart", "--built", "3000"), 2, "--built")
        self.complains(support.letbe("chart", "-o", self.inside("no/such/place.svg")), 3, "place.svg")


if __name__ == "__main__":
    support.main()
