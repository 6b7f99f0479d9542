#!/usr/bin/env python3
"""letbe note --json, --why and JSON lines: the shape that other programs rely on."""

import sys

sys.dont_write_bytecode = True

import json

import support
from support import PLAIN, WRAP

TEXT_OR_NULL = (str, type(None))
MATERIAL = {"id": str, "title": str, "or": list, "certainty": str, "conditions": list, "severity": TEXT_OR_NULL,
            "tested": TEXT_OR_NULL, "period": str, "advice": str, "evidence": list, "attached": list}
CONDITIONS = {"intact", "worn", "damaged", "debris", "air-path", "work-planned", "left-in-place", "partly-replaced",
              "water", "not-visible", "disturbed"}
SAYS = {"name", "look", "place", "condition", "denial", "year", "test"}
ADVICE = ["none", "leave", "evaluate", "keep-out"]


class Shape(support.Case):
    def check_span(self, span, note):
        self.assertEqual([type(n) for n in span], [int, int])
        self.assertTrue(0 <= span[0] <= span[1] <= len(note), span)

    def check_evidence(self, evidence, note):
        for piece in evidence:
            self.assertEqual(set(piece), {"span", "says"})
            self.assertIn(piece["says"], SAYS)
            self.check_span(piece["span"], note)
            self.assertLess(piece["span"][0], piece["span"][1])

    def check_material(self, material, note):
        for key, kind in MATERIAL.items():
            self.assertIsInstance(material[key], kind, key)
        self.assertIn(material["certainty"], ("named", "described"))
        self.assertLessEqual(set(material["conditions"]), CONDITIONS)
        self.assertIn(material["severity"], ("slight", "bad", None))
        self.assertIn(material["tested"], ("positive", "negative", "trace", None))
        self.assertIn(material["period"], ("before", "within", "after", "unknown"))
        self.assertIn(material["advice"], ADVICE[1:])
        self.check_evidence(material["evidence"], note)
        self.assertTrue(material["evidence"])
        self.assertTrue(material["attached"])
        for attached in material["attached"]:
            self.assertEqual({key: type(value) for key, value in attached.items()}, {"id": str, "text": str})

    def check_document(self, document, note):
        """The shape; spans lie inside the note and hold the text where both are valid UTF-8."""
        self.assertLessEqual({"schema", "observations", "remarks", "advice", "built"}, set(document))
        self.assertEqual(document["schema"], 1)
        self.assertIsInstance(document["built"], (int, type(None)))
        strongest = 0
        for observation in document["observations"]:
            self.assertLessEqual({"text", "span", "materials", "left_out", "advice"}, set(observation))
            self.check_span(observation["span"], note)
            self.assertEqual(observation["text"], note[slice(*observation["span"])].decode("utf-8", errors="replace"))
            for material in observation["materials"]:
                self.check_material(material, note)
            for left_out in observation["left_out"]:
                self.assertEqual(set(left_out), {"id", "because", "evidence"})
                self.assertIn(left_out["because"], ("denied", "period", "lookalike", "tested-negative"))
                self.check_evidence(left_out["evidence"], note)
            levels = [ADVICE.index(material["advice"]) for material in observation["materials"]]
            self.assertEqual(ADVICE.index(observation["advice"]), max(levels, default=0))
            strongest = max(strongest, *levels, 0)
        self.assertEqual(document["advice"], ADVICE[strongest])
        for remark in document["remarks"]:
            self.assertEqual(set(remark), {"span", "text"})
            self.check_span(remark["span"], note)


class Json(Shape):
    def read(self, note, *options):
        answer = support.letbe("note", "--json", *options, given=note)
        self.assertIn(answer.code, (0, 1), str(answer))
        self.assertEqual(answer.err, b"", str(answer))
        document = answer.json()
        self.check_document(document, note)
        self.assertEqual(answer.code, 0 if any(o["materials"] for o in document["observations"]) else 1)
        return document

    def test_every_labelled_note_has_the_shape(self):
        for note in support.load_notes()[::8 if support.SANITIZED else 2]:
            with self.subTest(id=note["id"]):
                built = ("--built", str(note["built"])) if note.get("built") else ()
                self.read(note["text"].encode("utf-8"), *built)

    def test_the_demo_note_has_the_shape_with_and_without_our_blocks(self):
        note = support.read_bytes(support.DEMO)
        plain = self.read(note)
        self.assertGreaterEqual(sum(len(o["materials"]) for o in plain["observations"]), 6)
        attached = support.letbe("note", given=note).out
        again = self.read(attached)
        self.assertEqual([o["text"] for o in again["observations"]], [o["text"] for o in plain["observations"]])
        self.assertEqual([o["materials"] and [m["id"] for m in o["materials"]] for o in again["observations"]],
                         [o["materials"] and [m["id"] for m in o["materials"]] for o in plain["observations"]])

    def test_evidence_spans_hold_the_words_that_decided(self):
        note = b"\xef\xbb\xbfRoof \xff\0 fine.\r\n" + WRAP
        observations = [o for o in self.read(note)["observations"] if o["materials"]]
        self.assertEqual(len(observations), 1)
        self.assertEqual(note[slice(*observations[0]["span"])], WRAP.strip())
        words = {note[slice(*e["span"])] for e in observations[0]["materials"][0]["evidence"]}
        self.assertIn(b"torn", words)

    def test_a_byte_order_mark_is_counted(self):
        plain = self.read(WRAP)["observations"][0]["span"]
        marked = self.read(b"\xef\xbb\xbf" + WRAP)["observations"][0]["span"]
        self.assertEqual(marked, [n + 3 for n in plain])

    def test_invalid_bytes_show_as_replacement_characters(self):
        self.assertEqual(self.read(b"Roof \xff fine.")["observations"][0]["text"], "Roof \ufffd fine.")

    def test_nothing_attached_lists_what_was_left_out(self):
        document = self.read(b"No vermiculite seen in the attic.\n")
        self.assertEqual(document["advice"], "none")
        left_out = [(l["id"], l["because"]) for o in document["observations"] for l in o["left_out"]]
        self.assertEqual(left_out, [("vermiculite-fill", "denied")])

    def test_built_is_the_option_or_the_note_s_own(self):
        self.assertIsNone(self.read(WRAP)["built"])
        self.assertEqual(self.read(WRAP, "--built", "1956")["built"], 1956)
        self.assertEqual(self.read(b"House built 1931.\n" + WRAP)["built"], 1931)

    def test_json_and_as_json_are_the_same(self):
        self.assertEqual(support.letbe("note", "--json", given=WRAP).out, support.letbe("note", "--as", "json", given=WRAP).out)

    def test_json_goes_whole_into_a_file(self):
        out = self.inside("out.json")
        self.quiet(support.letbe("note", "--json", "-o", out, given=WRAP), 0)
        self.assertEqual(support.read_bytes(out), support.letbe("note", "--json", given=WRAP).out)


class Why(support.Case):
    def test_why_goes_to_standard_error_and_changes_no_output(self):
        note = WRAP + b"No vermiculite seen in the attic.\n"
        answer = support.letbe("note", "--why", given=note)
        self.assertEqual((answer.code, answer.out), (0, support.letbe("note", given=note).out))
        why = answer.err.decode("utf-8")
        self.assertIn("attached: duct-paper-wrap", why)
        self.assertIn('"torn"', why)
        self.assertIn("left out: vermiculite-fill (denied)", why)
        self.assertIn('"No"', why)

    def test_why_with_json_is_in_the_document(self):
        answer = support.letbe("note", "--why", "--json", given=WRAP)
        self.quiet(answer, 0).json()

    def test_why_cannot_drive_a_terminal(self):
        answer = support.letbe("note", "--why", given=b"\x1b[31m\x9b2J white paper wrap \x1b]0;x\x07 on the ducts torn\n")
        self.assertNotRegex(answer.err, rb"[\x00-\x08\x0b-\x1f\x7f]")
        answer.err.decode("utf-8")


class Lines(Shape):
    def lines(self, given, *options, code=0, err=b""):
        answer = support.letbe("note", "--from", "jsonl", *options, given=given)
        self.assertEqual((answer.code, answer.err), (code, err), str(answer))
        return [json.loads(line) for line in answer.out.decode("utf-8").splitlines()]

    def test_each_line_gives_the_document_of_its_note(self):
        notes = [WRAP.decode(), "Caf\u00e9 fine.\n", "No vermiculite seen in the attic.", "", "a\0b"]
        given = "".join(json.dumps({"note": n} if i % 2 else n) + "\n" for i, n in enumerate(notes))
        documents = self.lines(given.encode())
        self.assertEqual(len(documents), len(notes))
        for note, document in zip(notes, documents):
            self.check_document(document, note.encode())
            self.assertEqual(document, support.letbe("note", "--json", given=note.encode()).json())

    def test_the_file_s_ending_is_enough_and_output_may_be_a_file(self):
        path = self.file("notes.jsonl", json.dumps(WRAP.decode()).encode() + b"\r\n\r\n" + b'"roof"')
        answer = self.quiet(support.letbe("note", path), 0)
        self.assertEqual(answer.out.count(b"\n"), 2)
        out = self.inside("out.jsonl")
        self.quiet(support.letbe("note", path, "-o", out), 0)
        self.assertEqual(support.read_bytes(out), answer.out)

    def test_column_names_the_member(self):
        self.assertEqual(len(self.lines(b'{"text":"white paper wrap on ducts torn"}\n', "--column", "text")), 1)

    def test_nothing_attached_in_any_line_gives_1(self):
        self.assertEqual(len(self.lines(json.dumps(PLAIN.decode()).encode(), code=1)), 1)
        self.assertEqual(self.lines(b"", code=1), [])

    def test_unreadable_lines_are_named_and_the_rest_is_read(self):
        given = b'{bad\n"white paper wrap on ducts torn"\n{"text":"x"}\n7\n[]\n"\xff"\n{"note":1}\n'
        answer = support.letbe("note", "--from", "jsonl", given=given)
        self.assertEqual(answer.code, 3)
        self.assertEqual(answer.out.count(b"\n"), 1)
        told = answer.err.decode("utf-8").splitlines()
        self.assertEqual([line.split(": ")[1] for line in told], ["-:%d" % n for n in (1, 3, 4, 5, 6, 7)], str(answer))
        path = self.file("notes.jsonl", given)
        self.assertIn((path + ":1: ").encode(), support.letbe("note", path).err)

    def test_10_000_lines_are_each_answered(self):
        count = 500 if support.SANITIZED else 10000
        given = json.dumps({"note": "Basement. " + WRAP.decode() * 4}).encode() + b"\n"
        self.assertEqual(self.quiet(support.letbe("note", "--from", "jsonl", given=given * count), 0).out.count(b"\n"), count)


if __name__ == "__main__":
    support.main()
