// kb/blocks.h: blocks go in and come out again, and the note keeps its bytes.
#include "kb/blocks.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "kb/wording.h"
#include "tests/unit/corpus_for_tests.h"

namespace {

using namespace std::string_literals;

const std::string kLagging = "Pipe lagging in the cellar, torn.";

std::string lagging_title() { return test_knowledge().material("pipe-lagging")->title; }

std::vector<kb::AttachOptions> option_sets() {
  std::vector<kb::AttachOptions> out;
  for (const kb::BlockForm form : {kb::BlockForm::text, kb::BlockForm::markdown})
    for (const bool stamp : {true, false})
      for (const bool brief : {false, true})
        for (const bool refresh : {false, true}) {
          kb::AttachOptions o;
          o.form = form;
          o.stamp = stamp;
          o.read.brief = brief;
          o.refresh = refresh;
          out.push_back(o);
        }
  return out;
}

std::string attached(const std::string& note, const kb::AttachOptions& options = {}) {
  return kb::attach(note, test_knowledge(), options).text;
}

std::string stripped(const std::string& note) { return kb::strip(note, test_knowledge()); }

// The one block that the note gets, from its caption to its stamp.
std::string block_of(const std::string& note, const kb::AttachOptions& options = {}) {
  const std::string text = attached(note, options);
  const auto blocks = kb::find_blocks(text, test_knowledge());
  REQUIRE(blocks.size() == 2);
  std::string out = text.substr(blocks[0].span.begin, blocks[0].span.end - blocks[0].span.begin);
  while (out.ends_with('\n') || out.ends_with('\r')) out.pop_back();
  return out;
}

std::string replaced(std::string text, const std::string& from, const std::string& to) {
  const std::size_t at = text.find(from);
  REQUIRE_MESSAGE(at != std::string::npos, "not there: ", from);
  return text.replace(at, from.size(), to);
}

std::string summary(const kb::Attachment& a) {
  std::string out;
  for (const auto& o : a.reading.observations)
    for (const auto& f : o.findings) out += f.id + " ";
  return out;
}

}  // namespace

TEST_CASE("a note comes back to the byte and a second attaching changes nothing") {
  const std::string notes[] = {
      "",
      "\n",
      "\r",
      "Nothing of note.",
      kLagging,
      kLagging + "\n",
      kLagging + "\r\n",
      kLagging + "\r",
      kLagging + "\n\r",
      kLagging + "\n\n\n",
      kLagging + "\n \t \n",
      kLagging + "\r\n\r\nWe saw a dog.\r\n",
      kLagging + "\r\n\r\nWe saw a dog.\nMixed ends.\r",
      kLagging + "\n\n\n\nWe saw a dog.",
      kLagging + "\n   \nWe saw a dog.",
      "\xEF\xBB\xBF" + kLagging + "\n",
      "\0"s + kLagging + "\0\n"s,
      kLagging + " caf\xE9\n\xFF",
      "BASEMENT\n- " + kLagging + "\n- Popcorn ceiling, den.\n\nATTIC\n- Vermiculite, poured.\n",
      "- Pipe lagging torn\n- Popcorn ceiling\n- Vermiculite fill",
      "Pipe lagging torn, popcorn ceiling, vermiculite fill and fitting mud",
      "Pipe lagging torn, popcorn ceiling, vermiculite fill and fitting mud\n",
      "Asbestos caution: keep out\n",
      "Asbestos caution: " + lagging_title() + "\n" + kLagging + "\n",
      "Asbestos caution: \n\n" + kLagging,
      "> **Asbestos caution: mine**\\\n> words\n\n" + kLagging + "\n",
      kLagging + "\nAsbestos caution: mine",
      "Asbestos caution: mine\n- " + kLagging + "\n- Popcorn ceiling.\n",
      "- " + kLagging + "\n[pipe-lagging; letbe corpus 1; 01234567]\n",
      "[x; letbe corpus 1; 01234567]",
      "Possible asbestos on pipe",
  };
  for (const std::string& note : notes) {
    CAPTURE(note);
    CHECK(stripped(note) == note);
    for (const kb::AttachOptions& options : option_sets()) {
      CAPTURE(int(options.form));
      CAPTURE(options.stamp);
      CAPTURE(options.read.brief);
      CAPTURE(options.refresh);
      const std::string once = attached(note, options);
      CHECK(stripped(once) == note);
      CHECK(attached(once, options) == once);
    }
  }
}

TEST_CASE(
    "a block is a caption, one paragraph and a stamp, and the standard paragraph comes last") {
  const kb::Attachment a = kb::attach(kLagging + "\nWe saw a dog.\n", test_knowledge(), {});
  CHECK(a.blocks == 1);
  REQUIRE(a.reading.observations[0].findings.size() == 1);
  const kb::Finding& f = a.reading.observations[0].findings[0];
  const kb::Attached standard = kb::standard_paragraph(test_knowledge());
  const std::string version = test_knowledge().corpus_version;
  const auto stamp = [&](const std::string& ids, const std::string& paragraph) {
    return "[" + ids + "; letbe corpus " + version + "; " + kb::sha256_hex(paragraph, 8) + "]";
  };
  std::string ids = f.id;
  for (const kb::Attached& part : f.attached)
    if (ids.find(part.id) == std::string::npos) ids += ", " + part.id;
  const std::string first = "Asbestos caution: " + f.title + "\n" + kb::paragraph(f) + "\n" +
                            stamp(ids, kb::paragraph(f));
  const std::string last = "Asbestos caution: " + test_knowledge().titles.at(standard.id) + "\n" +
                           standard.text + "\n" + stamp(standard.id, standard.text);
  CHECK(a.text == kLagging + "\n" + first + "\n\n" + last + "\n\nWe saw a dog.\n");
  CHECK(attached(kLagging) == kLagging + "\n\n" + first + "\n\n" + last);
  CHECK(attached(kLagging + "\n") == kLagging + "\n\n" + first + "\n\n" + last + "\n");
  kb::AttachOptions markdown;
  markdown.form = kb::BlockForm::markdown;
  markdown.stamp = false;
  CHECK(block_of(kLagging, markdown) ==
        "> **Asbestos caution: " + f.title + "**\\\n> " + kb::paragraph(f));
  markdown.stamp = true;
  CHECK(block_of(kLagging, markdown) == "> **Asbestos caution: " + f.title + "**\\\n> " +
                                            kb::paragraph(f) + "\\\n> `" +
                                            stamp(ids, kb::paragraph(f)) + "`");
}

TEST_CASE("with nothing to attach the text is the note") {
  for (const std::string& note :
       {"The windows stick.\r\n"s, ""s, "No vermiculite seen."s, "\xFF\0"s}) {
    CAPTURE(note);
    const kb::Attachment a = kb::attach(note, test_knowledge(), {});
    CHECK(a.text == note);
    CHECK(a.blocks == 0);
  }
}

TEST_CASE("a block has the note's line ends") {
  const std::string text = attached(kLagging + "\r\nWe saw a dog.\r\n");
  CHECK(text.find("Asbestos caution: ") != std::string::npos);
  for (std::size_t at = text.find('\n'); at != std::string::npos; at = text.find('\n', at + 1))
    CHECK(text[at - 1] == '\r');
  CHECK(attached(kLagging + "\n").find('\r') == std::string::npos);
}

TEST_CASE("one form of blocks becomes the other, and the note between them stays") {
  for (const std::string& note : {kLagging, kLagging + "\n", kLagging + "\n\nWe saw a dog.\r\n"})
    for (const kb::AttachOptions& from : option_sets())
      for (const kb::AttachOptions& to : option_sets()) {
        CAPTURE(note);
        CHECK(attached(attached(note, from), to) == attached(note, to));
      }
}

TEST_CASE("our blocks are found with or without a stamp, rewrapped too, and not read as note") {
  const std::string block = block_of(kLagging);
  const std::string unstamped = block.substr(0, block.rfind("\n["));
  std::string wrapped = replaced(block, " may contain", "\n  may contain");
  for (const std::string& ours :
       {block, unstamped, wrapped, replaced(unstamped, "cellar", "back room")}) {
    CAPTURE(ours);
    const std::string note = "We saw a dog.\n" + ours + "\n\nAnd a cat.\n";
    const auto found = kb::find_blocks(note, test_knowledge());
    REQUIRE(found.size() == 1);
    CHECK(found[0].ours);
    CHECK(found[0].title == lagging_title());
    CHECK(found[0].span.begin == 14);
    CHECK(stripped(note) == "We saw a dog.\nAnd a cat.\n");
    CHECK(summary(kb::attach(note, test_knowledge(), {})).empty());
  }
}

TEST_CASE("the writer's own text under such a caption is no block") {
  const std::string unstamped = [] {
    const std::string block = block_of(kLagging);
    return block.substr(0, block.rfind("\n["));
  }();
  for (const std::string& own :
       {"Asbestos caution: " + lagging_title() + "\nKeep your hands off.",
        "Asbestos caution: " + lagging_title(), unstamped + " We told the owner.",
        replaced(unstamped, lagging_title(), test_knowledge().material("vermiculite-fill")->title),
        replaced(unstamped, "\n", "\n\n"), "- " + unstamped, "asbestos" + unstamped.substr(8)}) {
    CAPTURE(own);
    CHECK(kb::find_blocks(own, test_knowledge()).empty());
    CHECK(stripped(own + "\n\nMore.\n") == own + "\n\nMore.\n");
  }
}

TEST_CASE("a stamped block that was edited stays, is not read, and the writer is told") {
  const std::string edited = replaced(block_of(kLagging), lagging_title() + "\n",
                                      lagging_title() + "\nOur popcorn ceiling. ");
  const std::string note = "We saw a dog.\n\n" + edited + "\n\nAnd a cat.\n";
  const auto found = kb::find_blocks(note, test_knowledge());
  REQUIRE(found.size() == 1);
  CHECK_FALSE(found[0].ours);
  CHECK(found[0].stamped);
  CHECK(stripped(note) == note);
  const kb::Attachment a = kb::attach(note, test_knowledge(), {});
  CHECK(a.text == note);
  CHECK(a.reading.observations.size() == 2);
  REQUIRE(a.reading.remarks.size() == 1);
  CHECK(a.reading.remarks[0].text ==
        "This block was edited by hand after it was attached; it is left as it is and not read.");
  CHECK(note.substr(a.reading.remarks[0].span.begin, edited.size()) == edited);
  // Beside it the note itself is read as ever.
  const std::string with_finding = "Popcorn ceiling, den.\n\n" + note;
  const kb::Attachment b = kb::attach(with_finding, test_knowledge(), {});
  CHECK(summary(b) == "popcorn-ceiling ");
  CHECK(b.text.find(edited) != std::string::npos);
  CHECK(stripped(b.text) == with_finding);
  CHECK(attached(b.text) == b.text);
}

TEST_CASE("our words with the writer's own below them are kept, and no block is set between") {
  const std::string block = block_of("Pipe lagging, torn.");
  const std::string own = block.substr(0, block.rfind("\n["));
  for (const std::string& note : {own + "\nAttic:\n", own + "\n- Popcorn ceiling, torn.\n",
                                  own + "\n- Popcorn ceiling.\n\nWe saw a dog."}) {
    CAPTURE(note);
    CHECK(stripped(note) == note);
    for (const kb::AttachOptions& options : option_sets()) {
      const std::string once = attached(note, options);
      CHECK(once.size() > note.size());
      CHECK(stripped(once) == note);
      CHECK(attached(once, options) == once);
    }
  }
}

TEST_CASE("a block of ours inside an edited one goes, and the edited one stays") {
  const std::string own = "Asbestos caution: mine\n";
  const std::string rest = "The pipe lagging is torn.\n[x; letbe corpus 1; 01234567]\n";
  const std::string note = own + block_of(kLagging) + "\n\n" + rest;
  const std::string once = attached(note);
  CHECK(once == own + rest);
  CHECK(attached(once) == once);
}

TEST_CASE("a block of an older corpus stays as it was until it is to be refreshed") {
  const std::string version = test_knowledge().corpus_version;
  const std::string old_paragraph = "In 2020 we wrote this.";
  kb::AttachOptions refresh;
  refresh.refresh = true;
  for (const std::string& note :
       {kLagging, kLagging + "\n", kLagging + "\r\n", kLagging + "\n\nWe saw a dog.",
        "Popcorn ceiling.\n\n" + kLagging + "\n"}) {
    CAPTURE(note);
    const std::string now = attached(note);
    std::string old = now;
    for (const kb::FoundBlock& b : kb::find_blocks(now, test_knowledge())) {
      old = replaced(old, b.paragraph, old_paragraph);
      old = replaced(old, version + "; " + kb::sha256_hex(b.paragraph, 8),
                     "2020.01+00000000; " + kb::sha256_hex(old_paragraph, 8));
    }
    CHECK(stripped(old) == note);
    CHECK(attached(old) == old);
    CHECK(attached(old, refresh) == now);
    // Without a finding that it belongs to, it goes.
    if (note == kLagging)
      CHECK(attached(replaced(old, kLagging, "We saw a dog.")) == "We saw a dog.");
  }
}
