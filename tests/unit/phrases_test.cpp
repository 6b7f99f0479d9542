// kb/phrases.h: phrases of the corpus found in a text.
#include "kb/phrases.h"

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "kb/error.h"

namespace {

// Phrases numbered in order, and the lexicon that learned them.
struct Phrases {
  explicit Phrases(const std::vector<std::string>& phrases) {
    for (std::size_t i = 0; i < phrases.size(); ++i)
      tree.add(phrases[i], {3, static_cast<std::int16_t>(i + 1), static_cast<std::int32_t>(i)},
               lexicon);
    lexicon.complete();
    tree.complete();
    lexicon.set_mode(kb::Lexicon::Mode::plain);
  }
  kb::Lexicon lexicon{{}, {}};
  kb::PhraseTree tree;
};

// What was found, as "number:bytes" in order.
std::string found(const kb::PhraseTree& tree, kb::Lexicon& lexicon, const std::string& text) {
  const std::vector<kb::Token> tokens = kb::read_tokens(text, lexicon);
  std::string out;
  for (const kb::Match& m : tree.scan(tokens)) {
    REQUIRE(m.first < m.last);
    REQUIRE(m.last <= tokens.size());
    CHECK(m.tag.kind == 3);
    CHECK(m.tag.part == m.tag.item + 1);
    const std::size_t begin = tokens[m.first].begin;
    out += (out.empty() ? "" : " ") + std::to_string(m.tag.item) + ":" +
           text.substr(begin, tokens[m.last - 1].end - begin);
  }
  return out;
}

struct Case {
  const char* text;
  const char* found;
};

const std::vector<std::string> kPhrases{
    "cement pipe", "pipe", "cement pipe wrap", "9x9 tile", "", "...", "wrapped pipe", "pipe"};

}  // namespace

TEST_CASE("every phrase is found, overlapping ones too, by place and then length") {
  Phrases p(kPhrases);
  const Case cases[] = {
      {"a cement pipe wrap", "0:cement pipe 2:cement pipe wrap 1:pipe 7:pipe"},
      {"Wrapped pipes", "6:Wrapped pipes 1:pipes 7:pipes"},
      {"wrapping pipe pipe", "6:wrapping pipe 1:pipe 7:pipe 1:pipe 7:pipe"},
      {"nine, 9\" x 9\" tiles", "3:9\" x 9\" tiles"},
  };
  for (const auto& c : cases) {
    CAPTURE(std::string(c.text));
    CHECK(found(p.tree, p.lexicon, c.text) == c.found);
  }
}

TEST_CASE("hyphens, quotation marks, slashes and line ends join a phrase and other signs break it") {
  Phrases p({"cement pipe"});
  for (const char* text :
       {"cement-pipe", "cement \"pipe\"", "'cement' pipe", "cement - pipe", "*cement* pipe", "cement/pipe",
        "cement\npipe"}) {
    CAPTURE(std::string(text));
    CHECK(found(p.tree, p.lexicon, text).substr(0, 2) == "0:");
  }
  for (const char* text : {"cement, pipe", "cement. Pipe", "cement; pipe", "cement (pipe)",
                           "cement – pipe", "cement: pipe", "cement? pipe"}) {
    CAPTURE(std::string(text));
    CHECK(found(p.tree, p.lexicon, text).empty());
  }
  CHECK(found(p.tree, p.lexicon, "cement-pipe-") == "0:cement-pipe");
}

TEST_CASE("parts, strangers and nothing are no phrase") {
  Phrases p(kPhrases);
  for (const char* text :
       {"", "...", "cement", "cement old conduit", "9x9 rug", "conduits", "\xFF\xFE", "tile 9x9"}) {
    CAPTURE(std::string(text));
    CHECK(found(p.tree, p.lexicon, text).empty());
  }
  CHECK(found(p.tree, p.lexicon, "cement old pipe") == "1:pipe 7:pipe");
  Phrases none({"", "!"});
  CHECK(found(none.tree, none.lexicon, "cement pipe").empty());
  CHECK(none.tree.all_tags().empty());
  CHECK(p.tree.all_tags().size() == 6);
}

TEST_CASE("a tree comes back from its bytes, and bytes of any kind do no harm") {
  Phrases p(kPhrases);
  kb::ByteWriter out;
  p.tree.write(out);
  const std::string bytes = out.take();
  const std::string text = "wrapped cement pipe wrap, 9x9 tile";
  kb::ByteReader in(bytes);
  CHECK(found(kb::PhraseTree::read(in), p.lexicon, text) == found(p.tree, p.lexicon, text));

  const std::vector<kb::Token> tokens = kb::read_tokens(text, p.lexicon);
  int refused = 0;
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    CAPTURE(i);
    kb::ByteReader cut(std::string_view(bytes).substr(0, i));
    CHECK_THROWS_AS(kb::PhraseTree::read(cut), kb::Error);
    std::string changed = bytes;
    changed[i] = static_cast<char>(changed[i] ^ 0x55);
    kb::ByteReader reader(changed);
    try {
      const std::vector<kb::Match> matches = kb::PhraseTree::read(reader).scan(tokens);
      for (const kb::Match& m : matches) REQUIRE(m.last <= tokens.size());
    } catch (const kb::Error&) {
      ++refused;
    }
  }
  CHECK(refused > 0);
}
