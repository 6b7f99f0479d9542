// kb/text.h: pieces of a text, and words made comparable.
#include "kb/text.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <random>
#include <string>
#include <string_view>
#include <vector>

namespace {

using namespace std::string_literals;

// The pieces of a text, a blank before those that had one and else a bar. A sign shows as it is
// read.
std::string pieces(const std::string& text) {
  std::string out;
  for (const kb::RawToken& t : kb::split(text)) {
    if (!out.empty()) out += t.space_before ? ' ' : '|';
    if (t.kind == kb::RawToken::Kind::mark) {
      out += t.mark == '\n' ? "\\n"s : std::string(1, t.mark);
    } else {
      out += text.substr(t.begin, t.end - t.begin);
    }
  }
  return out;
}

struct Case {
  std::string given, wanted;
};

// The same distance by the plain table, without a limit.
int plain_distance(std::string_view a, std::string_view b) {
  std::vector<std::vector<int>> d(a.size() + 1, std::vector<int>(b.size() + 1));
  for (std::size_t i = 0; i <= a.size(); ++i) {
    for (std::size_t j = 0; j <= b.size(); ++j) {
      if (i == 0 || j == 0) {
        d[i][j] = static_cast<int>(i + j);
        continue;
      }
      const int cost = a[i - 1] == b[j - 1] ? 0 : 1;
      d[i][j] = std::min({d[i - 1][j] + 1, d[i][j - 1] + 1, d[i - 1][j - 1] + cost});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
        d[i][j] = std::min(d[i][j], d[i - 2][j - 2] + 1);
    }
  }
  return d[a.size()][b.size()];
}

}  // namespace

TEST_CASE("a text is split into words, numbers and signs") {
  const Case cases[] = {
      {"", ""},
      {" \t\r ", ""},
      {"Pipe lagging, torn.", "Pipe lagging|, torn|."},
      {"isn't", "isn't"},
      {"pipes' ends", "pipes|' ends"},
      {"'quoted'", "'|quoted|'"},
      {"9x9", "9|x|9"},
      {"12x12s", "12|x|12|s"},
      {"9\"x9\"", "9|\"|x|9|\""},
      {"3.5 1,200 3. 4,", "3.5 1,200 3|. 4|,"},
      {".5 1..2", ".|5 1|.|.|2"},
      {"1950s 50s '20s", "1950s 50s '|20s"},
      {"5s 1950st", "5|s 1950|st"},
      {"w/ wrap w/o wrap W/O", "w/ wrap w/o wrap W/O"},
      {"w/out saw/dust", "w/|out saw|/|dust"},
      {"a\nb\r\nc", "a|\\n b \\n c"},
      {"non-friable", "non|-|friable"},
  };
  for (const auto& c : cases) {
    CAPTURE(c.given);
    CHECK(pieces(c.given) == c.wanted);
  }
}

TEST_CASE("typographic signs are read as the plain ones and others only separate") {
  const Case cases[] = {
      {"“popcorn” ceiling", "\"|popcorn|\" ceiling"},
      {"isn’t", "isn’t"},
      {"‘old’", "'|old|'"},
      {"9″ 8′", "9|\" 8|'"},
      {"9×9", "9|×|9"},
      {"pipe – wrap—torn", "pipe _ wrap|_|torn"},
      {"non‑friable", "non|-|friable"},
      {"• tile", "* tile"},
      {"and so on…", "and so on|."},
      {"café Straße", "café Straße"},
      {"cafe\u0301", "cafe\u0301"},
      {"石綿", "石綿"},
      {"½ inch\u00A0tile", "inch tile"},
      {"\U0001F3E0 house", "house"},
  };
  for (const auto& c : cases) {
    CAPTURE(c.given);
    CHECK(pieces(c.given) == c.wanted);
  }
}

TEST_CASE("bytes that are no text separate words and harm nothing") {
  const Case cases[] = {
      {"pipe\0lagging"s, "pipe lagging"}, {"pipe\xFFlagging", "pipe lagging"},
      {"caf\xE9 tile", "caf tile"},       {"\xC3", ""},
      {"tile\xE2\x80", "tile"},           {"\xC0\xAF\xED\xA0\x80x\xF5", "x"},
      {"isn\xE2\x80t", "isn t"},
  };
  for (const auto& c : cases) {
    CAPTURE(c.given);
    CHECK(pieces(c.given) == c.wanted);
  }
  // Random bytes: rising pieces inside the text, none empty.
  std::mt19937 random(7);
  for (int round = 0; round < 500; ++round) {
    std::string text;
    for (std::size_t n = random() % 40; n > 0; --n) text += static_cast<char>(random() % 256);
    std::uint32_t last = 0;
    for (const kb::RawToken& t : kb::split(text)) {
      REQUIRE(t.begin >= last);
      REQUIRE(t.end > t.begin);
      last = t.end;
    }
    REQUIRE(last <= text.size());
    CHECK(kb::valid_utf8(kb::fold(text)));
    CHECK(kb::valid_utf8(kb::to_valid_utf8(text)));
  }
}

TEST_CASE("folding leaves small plain letters") {
  const Case cases[] = {
      {"", ""},
      {"PIPE", "pipe"},
      {"Café", "cafe"},
      {"CAFE\u0301", "cafe"},
      {"ﬁber", "fiber"},
      {"Straße", "strasse"},
      {"isn’t", "isn't"},
      {"×", "x"},
      {"Ångström", "angstrom"},
      {"石綿", "石綿"},
      {"caf\xE9", "caf"},
      {"\xFF\xC3", ""},
  };
  for (const auto& c : cases) {
    CAPTURE(c.given);
    CHECK(kb::fold(c.given) == c.wanted);
  }
}

TEST_CASE("inflections of a word have one stem") {
  const std::vector<std::string> families[] = {
      {"shingle", "shingles", "shingled", "shingling", "shingle's"},
      {"wrap", "wraps", "wrapped", "wrapping"},
      {"crumble", "crumbles", "crumbled", "crumbling"},
      {"tile", "tiles", "tiled", "tiling"},
      {"fill", "fills", "filled", "filling"},
      {"press", "presses", "pressed", "pressing"},
      {"cavity", "cavities"},
      {"box", "boxes"},
      {"patch", "patches", "patched"},
      {"vermiculite", "vermiculite's"},
  };
  for (const auto& family : families) {
    for (const std::string& word : family) {
      CAPTURE(word);
      CHECK(kb::stem(word) == kb::stem(family.front()));
    }
  }
}

TEST_CASE("what only looks like an ending stays") {
  for (const char* word : {"", "s", "'s", "gas", "string", "shed", "glass", "debris", "stucco",
                           "till", "1950s", "9x9", "12s"}) {
    CAPTURE(std::string(word));
    CHECK(kb::stem(word) == word);
  }
  CHECK(kb::stem("tile") != kb::stem("till"));
  CHECK(kb::stem("string") != kb::stem("strip"));
  CHECK(kb::stem("loose") != kb::stem("lose"));
}

TEST_CASE("words that sound alike have one sound key") {
  const auto key = [](const std::vector<std::string>& words) {
    std::string out;
    for (const std::string& word : words) out += kb::sound_key(word);
    return out;
  };
  struct Sound {
    std::vector<std::string> said;
    const char* key;
  };
  const Sound cases[] = {
      {{"vermiculite"}, "FRMKLT"},
      {{"for", "mick", "you", "light"}, "FRMKLT"},
      {{"firm", "a", "cue", "light"}, "FRMKLT"},
      {{"asbestos"}, "SPSTS"},
      {{"as", "best", "os"}, "SPSTS"},
      {{"ceiling"}, "SLNK"},
      {{"sealing"}, "SLNK"},
      {{"phone"}, "FN"},
      {{"knob"}, "NP"},
      {{"scent"}, "SNT"},
      {{"shingle"}, "XNKL"},
      {{"wrap"}, "RP"},
      {{"rap"}, "RP"},
      {{"wool"}, "L"},
      {{""}, ""},
      {{"eye"}, ""},
      {{"9x9"}, "KS"},
  };
  for (const auto& c : cases) {
    CAPTURE(c.said.front());
    CHECK(key(c.said) == c.key);
  }
}

TEST_CASE("edit distance counts inserted, lost, changed and swapped letters up to its limit") {
  struct Distance {
    std::string a, b;
    int limit, distance;
  };
  const Distance cases[] = {
      {"", "", 0, 0},
      {"tile", "tile", 0, 0},
      {"tile", "till", 0, 1},
      {"a", "", 1, 1},
      {"", "ab", 1, 2},
      {"tiel", "tile", 1, 1},
      {"ab", "ba", 2, 1},
      {"ca", "abc", 3, 3},
      {"kitten", "sitting", 3, 3},
      {"kitten", "sitting", 2, 3},
      {"vermiculte", "vermiculite", 2, 1},
      {"vremiculitte", "vermiculite", 2, 2},
      {"short", "much longer word", 3, 4},
      {std::string(41, 'a'), std::string(41, 'a'), 2, 0},
      {std::string(41, 'a'), std::string(40, 'a'), 2, 3},  // Too long to be compared.
      {std::string(40, 'a'), std::string(39, 'a') + 'b', 2, 1},
  };
  for (const auto& c : cases) {
    CAPTURE(c.a);
    CAPTURE(c.b);
    CHECK(kb::edit_distance(c.a, c.b, c.limit) == c.distance);
    CHECK(kb::edit_distance(c.b, c.a, c.limit) == c.distance);
  }
  std::mt19937 random(11);
  const auto word = [&] {
    std::string out;
    for (std::size_t n = random() % 8; n > 0; --n) out += static_cast<char>('a' + random() % 3);
    return out;
  };
  for (int round = 0; round < 3000; ++round) {
    const std::string a = word(), b = word();
    const int limit = static_cast<int>(random() % 4);
    CAPTURE(a);
    CAPTURE(b);
    REQUIRE(kb::edit_distance(a, b, limit) == std::min(plain_distance(a, b), limit + 1));
  }
}

TEST_CASE("wrong UTF-8 is told with its place and shown as the replacement sign") {
  struct Utf8 {
    std::string text;
    std::size_t bad_at;  // The text's size when it is valid.
    std::string shown;
  };
  const Utf8 cases[] = {
      {"", 0, ""},
      {"tile ½ 石綿\0"s, 15, "tile ½ 石綿\0"s},
      {"caf\xE9 x", 3, "caf\uFFFD x"},
      {"\xFF\xFE", 0, "\uFFFD\uFFFD"},
      {"a\xE7\x9F", 1, "a\uFFFD\uFFFD"},
      {"\xC0\x80", 0, "\uFFFD\uFFFD"},
      {"\xED\xA0\x80", 0, "\uFFFD\uFFFD\uFFFD"},
      {"\xF4\x90\x80\x80", 0, "\uFFFD\uFFFD\uFFFD\uFFFD"},
  };
  for (const auto& c : cases) {
    CAPTURE(c.shown);
    std::size_t bad_at = c.text.size();
    CHECK(kb::valid_utf8(c.text, &bad_at) == (c.text == c.shown));
    CHECK(bad_at == c.bad_at);
    CHECK(kb::to_valid_utf8(c.text) == c.shown);
  }
  CHECK_FALSE(kb::valid_utf8("\x80"));
}

TEST_CASE("words are counted by the blanks between them") {
  CHECK(kb::count_words("") == 0);
  CHECK(kb::count_words(" \t\r\n") == 0);
  CHECK(kb::count_words("one") == 1);
  CHECK(kb::count_words("  non-friable isn't,\r\nso to say \n") == 5);
}
