// The short way of reading YAML against yaml-cpp: where it answers at all, both must say the same.
#include <doctest/doctest.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>
#include <string>
#include <vector>

#include "indexer/plain_yaml.h"

namespace {

namespace fs = std::filesystem;

// Everything a value holds, lines and quotes too.
std::string shown(const indexer::Value& value) {
  std::string out = std::to_string(value.place.line) + (value.quoted ? "q" : "");
  out += "nslm"[static_cast<int>(value.kind)];
  out += "'" + value.text + "'(";
  for (const auto& item : value.items) out += shown(item) + ",";
  for (const auto& member : value.members)
    out += std::to_string(member.place.line) + member.key + "=" + shown(member.value) + ",";
  return out + ")";
}

// True when the short way answered; it must then agree with yaml-cpp.
bool agreed(const std::string& text) {
  const auto plain = indexer::parse_plain_yaml(text, {"p.md", 2});
  if (!plain) return false;
  CAPTURE(text);
  indexer::Problems problems;
  const auto any = indexer::parse_any_yaml(text, {"p.md", 2}, problems);
  REQUIRE(any);
  CHECK(shown(*plain) == shown(*any));
  CHECK(problems.empty());
  return true;
}

std::vector<std::string> fronts_in(const std::string& folder) {
  std::vector<std::string> out;
  for (const auto& entry : fs::recursive_directory_iterator(LETBE_SOURCE_DIR "/" + folder)) {
    if (entry.path().extension() != ".md") continue;
    std::ifstream file(entry.path(), std::ios::binary);
    const std::string text{std::istreambuf_iterator<char>(file), {}};
    const std::size_t end = text.find("\n---\n");
    if (text.starts_with("---\n") && end != std::string::npos) out.push_back(text.substr(4, end - 3));
  }
  return out;
}

}  // namespace

TEST_CASE("the articles are read the short way, and as yaml-cpp reads them") {
  int plain = 0;
  const auto fronts = fronts_in("articles");
  for (const std::string& front : fronts) plain += agreed(front) ? 1 : 0;
  CHECK(plain * 10 >= static_cast<int>(fronts.size()) * 9);
  for (const std::string& front : fronts_in("tests/lint")) agreed(front);
}

TEST_CASE("what is less plain is left to yaml-cpp") {
  for (const std::string text :
       {"", "a", "a:", "a: # b", "a: b # c", "a: &x b", "a: *x", "a: !t b", "a: |\n  b", "a: >\n  b", "a: b\n  c", "a: 'it''s'",
        "a: \"b\\n\"", "a: ~", "a: null", "a: [b, null]", "a: b\na: c", "a: {b: c, b: d}", "a: [b\n  c]", "- a", "a:\n- b", "a: b: c",
        "a: [b: c]", "a: [b,]", "a: [b", "a: b]\n c", "? a", "a:\n\n  - b", "a: b\n---\nc: d", "...", "a: -b", "a: - b", "a:\n  b\n  c: d",
        "a:\n    b: c\n  d: e", "a:\n  - b\n    c", "a:\n  - b: c\n   d: e", "\"a\": b", "a:\tb", "a: 'b' c", "a: {b}", "a: ", "a: b "})
    CHECK_MESSAGE(!indexer::parse_plain_yaml(text, {"p.md", 2}), text);
}

TEST_CASE("random changes to front matter never make the two differ") {
  // LETBE_YAML_ROUNDS asks for more than a test run has time for.
  const char* more = std::getenv("LETBE_YAML_ROUNDS");
  const int rounds = more != nullptr ? std::atoi(more) : 4000;
  const std::string model =
      "id: a-b\ntitle: \"Old: how\"\nnames:\n  - one two\n  - it's (3)\nheard-as: []\nplaces: [hall, \"9 x 9\", tar-like]\n"
      "years:\n  from: 1920\n  soft-end: By 1980; not sure.\nseen-as:\n  - all-of:\n      - [gray, dark gray]\n      - [pipe]\n"
      "    against: [new]\n  - {all-of: [[a, b], [c]], for: [d]}\nsources:\n  - {cite: '1926', backs: [In short], status: published}\n";
  const std::string signs = " \n:-,[]{}\"'#&*!|>%@`?~ab1\\.()=/$\xC3\xA9";
  std::mt19937 random(7);
  const auto below = [&](std::size_t n) { return random() % n; };
  int answered = 0;
  for (int round = 0; round < rounds; ++round) {
    std::string text = model;
    for (std::size_t changes = 1 + below(3); changes > 0; --changes) {
      const std::size_t at = below(text.size());
      switch (below(5)) {
        case 0: text.erase(at, 1 + below(3)); break;
        case 1: text.insert(at, 1, signs[below(signs.size() - 2)]); break;
        case 2: text[at] = signs[below(signs.size() - 2)]; break;
        case 3: text.insert(at, text.substr(below(text.size()), below(12))); break;
        default: text.insert(at, std::string(1 + below(2), ' ')); break;
      }
      if (text.empty()) break;
    }
    answered += agreed(text) ? 1 : 0;
  }
  CHECK(answered > rounds / 10);
}
