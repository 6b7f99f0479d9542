// Blocks in notes put together at random from pieces that are awkward for them, and the words of
// blocks over the notes of the evaluation.
#include <doctest/doctest.h>

#include <fstream>
#include <map>
#include <nlohmann/json.hpp>
#include <random>
#include <string>
#include <vector>

#include "kb/blocks.h"
#include "kb/json_text.h"
#include "kb/wording.h"
#include "tests/unit/corpus_for_tests.h"

namespace {

using namespace std::string_literals;

std::string attached(const std::string& note, const kb::AttachOptions& options) {
  return kb::attach(note, test_knowledge(), options).text;
}

std::string stripped(const std::string& note) { return kb::strip(note, test_knowledge()); }

std::vector<std::string> own_fragments() {
  return {"Pipe lagging torn",
          "Popcorn ceiling in the den.",
          "Vermiculite, poured",
          "possible asbestos on pipe",
          "We saw a dog.",
          "BASEMENT",
          "Attic:",
          "Attic: ",
          "# Hall",
          "- ",
          "1. ",
          "> ",
          "\n",
          "\n",
          "\n\n",
          "\r\n",
          "\r\n\r\n",
          "\r",
          " ",
          "  \n",
          "\t\n",
          "\\\n",
          "Asbestos caution: ",
          "Asbestos caution: Pipe lagging\n",
          "> **Asbestos caution: mine**\\\n",
          "[pipe-lagging; letbe corpus 1; 01234567]",
          "> `[x; letbe corpus 1; 01234567]`",
          "`",
          "**",
          "\0"s,
          "\xFF",
          "\xE2\x80",
          "\xEF\xBB\xBF",
          "½ “9 x 9” tile",
          ". ",
          ": "};
}

std::string random_note(std::mt19937& random, const std::vector<std::string>& fragments) {
  std::string note;
  for (std::size_t n = 1 + random() % 12; n > 0; --n)
    note += fragments[random() % fragments.size()];
  return note;
}

kb::AttachOptions random_options(std::mt19937& random) {
  kb::AttachOptions o;
  o.form = random() % 2 == 0 ? kb::BlockForm::text : kb::BlockForm::markdown;
  o.stamp = random() % 3 != 0;
  o.read.brief = random() % 4 == 0;
  o.read.plain = random() % 4 == 0;
  o.refresh = random() % 4 == 0;
  return o;
}

}  // namespace

TEST_CASE("random notes come back to the byte and a second attaching changes nothing") {
  const std::vector<std::string> fragments = own_fragments();
  std::mt19937 random(20261125);
  int with_blocks = 0;
  for (int round = 0; round < 2000; ++round) {
    const std::string note = random_note(random, fragments);
    const kb::AttachOptions options = random_options(random);
    CAPTURE(nlohmann::json(note).dump(-1, ' ', true, nlohmann::json::error_handler_t::replace));
    CAPTURE(int(options.form));
    CAPTURE(options.stamp);
    REQUIRE(stripped(note) == note);
    const std::string once = attached(note, options);
    with_blocks += once == note ? 0 : 1;
    REQUIRE(stripped(once) == note);
    REQUIRE(attached(once, options) == once);
    // The way of very long notes gives the same bytes.
    std::string by_parts;
    CHECK(kb::attach_by_parts(note, test_knowledge(), options, [&](std::string_view part) { by_parts += part; }) == (once != note));
    REQUIRE(by_parts == once);
  }
  CHECK(with_blocks > 500);
}

TEST_CASE("random notes with blocks in them keep what is not ours and settle at once") {
  std::vector<std::string> fragments = own_fragments();
  for (const char* note : {"Pipe lagging torn", "Popcorn ceiling in the den.\n"})
    for (const kb::BlockForm form : {kb::BlockForm::text, kb::BlockForm::markdown})
      for (const bool stamp : {true, false}) {
        kb::AttachOptions o;
        o.form = form;
        o.stamp = stamp;
        const std::string text = attached(note, o);
        fragments.push_back(text);
        fragments.push_back(
            text.substr(text.find(form == kb::BlockForm::text ? "Asbestos" : "> **")));
      }
  std::mt19937 random(20261126);
  for (int round = 0; round < 2000; ++round) {
    const std::string note = random_note(random, fragments);
    const kb::AttachOptions options = random_options(random);
    CAPTURE(nlohmann::json(note).dump(-1, ' ', true, nlohmann::json::error_handler_t::replace));
    CAPTURE(int(options.form));
    CAPTURE(options.stamp);
    const std::string once = attached(note, options);
    REQUIRE(stripped(once) == stripped(note));
    REQUIRE(attached(once, options) == once);
  }
}

TEST_CASE("spans count in the note that was given, blocks and all") {
  const std::string plain =
      "BASEMENT\r\n- Pipe lagging on the steam main, torn.\r\n- Popcorn ceiling, stained.\r\n\r\n"
      "Vermiculite in the attic, built 1956.\r\n\r\nThe windows stick; the pipe lagging is safe.";
  for (const kb::BlockForm form : {kb::BlockForm::text, kb::BlockForm::markdown}) {
    kb::AttachOptions options;
    options.form = form;
    const std::string with_blocks = attached(plain, options);
    REQUIRE(with_blocks.size() > plain.size() + 1000);
    for (const std::string& note :
         {plain, with_blocks, "\xEF\xBB\xBF" + with_blocks, attached(plain + "\n", options)}) {
      const kb::Attachment a = kb::attach(note, test_knowledge(), options);
      const auto json =
          nlohmann::json::parse(kb::note_json(a, test_knowledge(), kb::JsonForm::one_line));
      const auto bytes = [&](const nlohmann::json& span) {
        const std::size_t begin = span[0], end = span[1];
        REQUIRE(begin <= end);
        REQUIRE(end <= note.size());
        return note.substr(begin, end - begin);
      };
      REQUIRE(json["observations"].size() == 4);
      std::size_t evidence = 0;
      for (const auto& o : json["observations"]) {
        const std::string text = o["text"];
        CHECK(bytes(o["span"]) == text);
        for (const auto& m : o["materials"])
          for (const auto& e : m["evidence"]) {
            ++evidence;
            const std::string word = bytes(e["span"]);
            CHECK(!word.empty());
            // Its words stand in the note without blocks, so they are not a block's.
            CHECK(plain.find(word) != std::string::npos);
            if (e["says"] == "name") CHECK(text.find(word) != std::string::npos);
          }
      }
      CHECK(evidence >= 4);
      bool safe = false;
      for (const auto& r : json["remarks"]) safe = safe || bytes(r["span"]) == "safe";
      CHECK(safe);
    }
  }
}

TEST_CASE(
    "every block over the notes of the evaluation has 25 to 80 words, brief ones at most 60") {
  std::ifstream file(LETBE_SOURCE_DIR "/tests/eval/notes.jsonl");
  REQUIRE(file);
  const kb::Knowledge& k = test_knowledge();
  std::size_t blocks = 0, below = 0;
  std::map<std::string, int> short_ones;
  for (std::string line; std::getline(file, line);) {
    const auto row = nlohmann::json::parse(line);
    const std::string note = row["text"];
    kb::AttachOptions options;
    if (row["built"].is_number()) options.read.built = row["built"].get<int>();
    CAPTURE(note);
    for (const bool brief : {false, true}) {
      options.read.brief = brief;
      for (const auto& o : kb::attach(note, k, options).reading.observations)
        for (const kb::Finding& f : o.findings) {
          CAPTURE(f.id);
          CAPTURE(kb::paragraph(f));
          const int words = kb::count_words(kb::paragraph(f));
          CHECK(words >= 25);
          CHECK(words <= (brief ? k.wording.brief : k.wording.most));
          CHECK(kb::may_have_written(k, f.id, kb::paragraph(f)));
          if (brief) continue;
          ++blocks;
          if (words >= k.wording.least) continue;
          ++below;
          ++short_ones[f.id];
        }
    }
  }
  CHECK(blocks > 80);
  std::string told;
  for (const auto& [id, n] : short_ones) told += " " + id + " " + std::to_string(n);
  MESSAGE(below, " of ", blocks, " blocks have fewer than ", k.wording.least, " words:", told);
  const kb::Attached standard = kb::standard_paragraph(k);
  CHECK(standard.id == k.wording.standard_id);
  CHECK(kb::count_words(standard.text) <= 70);
  CHECK(kb::count_words(standard.text) >= 40);
}
