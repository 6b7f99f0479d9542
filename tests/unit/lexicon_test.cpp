// kb/lexicon.h: the words of the corpus, and texts read as rows of them.
#include "kb/lexicon.h"

#include <doctest/doctest.h>

#include <string>
#include <string_view>
#include <vector>

#include "tests/unit/corpus_for_tests.h"

namespace {

using namespace std::string_literals;

kb::WordRules rules() {
  kb::WordRules r;
  r.same = {{"grey", "gray"},   {"nine", "9"},  {"two", "2"},      {"four", "4"},
            {"inches", "inch"}, {"ft", "foot"}, {"w/o", "without"}};
  r.abbreviations = {"in", "approx"};
  r.spoken = {{"period", "."}};
  r.negating_prefixes = {"un", "non", "dis", "de"};
  return r;
}

constexpr const char* kLearned =
    "vermiculite lagging friable damaged shingles tile pipe nonporous disturbed covered 12x12";

// Knows the words above; "title" and "coveted" are ordinary English.
kb::Lexicon learned() {
  kb::Lexicon lexicon(rules(), [](std::string_view w) { return w == "title" || w == "coveted"; });
  kb::read_tokens(kLearned, lexicon);
  lexicon.complete();
  lexicon.set_mode(kb::Lexicon::Mode::correct);
  return lexicon;
}

struct Case {
  std::string typed, read;
};

void check(const std::vector<Case>& cases) {
  kb::Lexicon lexicon(rules(), {});
  lexicon.set_mode(kb::Lexicon::Mode::plain);
  for (const Case& c : cases) {
    CAPTURE(c.typed);
    CHECK(kb::normal_text(c.typed, lexicon) == c.read);
  }
}

}  // namespace

TEST_CASE("a size is one word however it is written") {
  for (const char* typed : {"9x9",
                            "9X9",
                            "9 x 9",
                            "9 x 9 in.",
                            "9\"x9\"",
                            "9\" x 9\"",
                            "9\"x 9",
                            "nine by nine",
                            "Nine By Nine",
                            "9 inch squares",
                            "9 inch square",
                            "9-inch-square",
                            "9 in. square",
                            "9 in square",
                            "9''x9''",
                            "9×9",
                            "9″×9″",
                            "9”x9”",
                            "9 inch by 9 inch",
                            "9-inch by 9-inch",
                            "nine inch by nine inch",
                            "9 in x 9 in.",
                            "9 x 9 inches",
                            "9-in. x 9-in."}) {
    CAPTURE(std::string(typed));
    check({{typed, "9x9"}, {"old "s + typed + " tile", "old 9x9 tile"}});
  }
  check({{"6\" x 36\" planks", "6x36 planks"},
         {"two by four", "2x4"},
         {"12x12s", "12x12 s"},
         {"12 x 12 x 2", "12x12 x 2"}});
}

TEST_CASE("what is no size stays apart") {
  check({
      {"9 x", "9 x"},
      {"x 9", "x 9"},
      {"9 by hand", "9 by hand"},
      {"9 square", "9 square"},
      {"9, x 9", "9 x 9"},
      {"9 x\n9 more", "9 x 9 more"},
      {"3.5 x 3.5", "3.5 x 3.5"},
      {"1999 x 2", "1999 x 2"},
      {"9 in the hall", "9 in the hall"},
      {"9 inch tile", "9 inch tile"},
  });
}

TEST_CASE("a unit after a number is a word, be it written or a sign") {
  check({
      {"12\"", "12 inch"},
      {"12 in.", "12 inch"},
      {"12-inch", "12 inch"},
      {"12 inches", "12 inch"},
      {"12''", "12 inch"},
      {"12″ pipe", "12 inch pipe"},
      {"5%", "5 percent"},
      {"5 %", "5 percent"},
      {"0.25%.", "0.25 percent"},
      {"8'", "8 foot"},
      {"8 ft", "8 foot"},
      {"8′ of wrap", "8 foot of wrap"},
      {"\"tile\"", "tile"},
      {"% of", "of"},
      {"12 in the", "12 in the"},
      {"in. 12", "in 12"},
      {"tile's", "tile's"},
  });
}

TEST_CASE("a text is read folded, with short forms written out and without signs") {
  check({
      {"", ""},
      {".,;:!?()[]{}", ""},
      {"GREY “Popcorn” ceiling", "gray popcorn ceiling"},
      {"café, isn’t", "cafe isn't"},
      {"pipe-lagging w/o tears", "pipe lagging without tears"},
      {"pipe\0lagging"s, "pipe lagging"},
      {"pipe\xFF\xC3lagging", "pipe lagging"},
      {"1950s, 50s", "1950s 50s"},
  });
}

TEST_CASE("a token knows its bytes, its number and whether it is a number or a sign") {
  kb::Lexicon lexicon(rules(), {});
  const std::string text = "Old 9\" x 9\" tile, 5%";
  std::vector<std::string> rows;
  for (const kb::Token& t : kb::read_tokens(text, lexicon)) {
    rows.push_back(text.substr(t.begin, t.end - t.begin) + "=" +
                   (t.word == nullptr ? std::string(1, t.mark) : t.word->folded) +
                   (t.number ? " number" : "") + (t.space_before ? " blank" : "") +
                   (t.id < 0 ? " -" : ""));
  }
  CHECK(rows == std::vector<std::string>{"Old=old blank", "9\" x 9\"=9x9 number blank",
                                         "tile=tile blank", ",=, -", "5=5 number blank",
                                         "%=percent"});
  CHECK(lexicon.look_up("approx").abbreviation);
  CHECK_FALSE(lexicon.look_up("tile").abbreviation);
  CHECK(kb::stemmed_text("Wrapped pipes, 9 by 9 tiles", lexicon) ==
        kb::stem("wrap") + " " + kb::stem("pipe") + " 9x9 " + kb::stem("tile"));
}

TEST_CASE("an unknown word becomes the nearest word of the corpus") {
  kb::Lexicon lexicon = learned();
  const Case cases[] = {
      {"vermiculte", "vermiculite"},    {"Vermicultie", "vermiculite"},
      {"vermmiculitte", "vermiculite"}, {"laggin", "lagging"},
      {"laggign", "lagging"},           {"tilse", "tile"},
      {"shingels", "shingles"},         {"nonporuos", "nonporous"},
      {"distrubed", "disturbed"},
  };
  for (const Case& c : cases) {
    CAPTURE(c.typed);
    const kb::WordInfo& word = lexicon.look_up(c.typed);
    CHECK(word.folded == c.read);
    CHECK(word.corrected);
    CHECK(word.id == lexicon.find(c.read));
    CHECK(word.id >= 0);
  }
}

TEST_CASE("what is short, far, ordinary, a number or turned round is never corrected") {
  kb::Lexicon lexicon = learned();
  for (const char* typed :
       {"title",       "coveted",            // Ordinary English.
        "ver",         "dsm",       "tiel",  // Too short.
        "lagn",        "laging5",            // A digit.
        "lgaing",                            // Two changes in a word of six letters.
        "vermicu",     "vrmculte",           // Three changes.
        "wermiculite",                       // Another first letter.
        "nonfriable",  "undamaged", "dedamaged", "undisturbed", "disdisturbed", "porous",
        "12x13",       "1x12",      "",          "'",           "\xC3\xA9"}) {
    CAPTURE(std::string(typed));
    const kb::WordInfo& word = lexicon.look_up(typed);
    CHECK(word.folded == kb::fold(typed));
    CHECK_FALSE(word.corrected);
    CHECK(word.id == -1);
  }
}

TEST_CASE("words are only learned while learning and only corrected while correcting") {
  kb::Lexicon lexicon(rules(), {});
  CHECK(lexicon.find("shingle") == -1);
  const std::int32_t id = lexicon.add("shingles");
  CHECK(id >= 0);
  CHECK(lexicon.add("shingle") == id);
  CHECK(lexicon.look_up("SHINGLED").id == id);
  const std::int32_t gray = lexicon.look_up("grey").id;
  CHECK(gray > id);
  CHECK(lexicon.find("gray") == gray);
  lexicon.complete();
  lexicon.set_mode(kb::Lexicon::Mode::plain);
  CHECK(lexicon.look_up("shinglez").folded == "shinglez");
  CHECK(lexicon.look_up("shinglez").id == -1);
  lexicon.set_mode(kb::Lexicon::Mode::correct);
  CHECK(lexicon.look_up("shinglez").id == id);
  CHECK(lexicon.look_up("never-met").id == -1);
}

TEST_CASE("a lexicon and its rules come back from their bytes as they were") {
  kb::ByteWriter out;
  rules().write(out);
  learned().write(out);
  const std::string bytes = out.take();
  kb::ByteReader in(bytes);
  const kb::WordRules read = kb::WordRules::read(in);
  CHECK(read.same == rules().same);
  CHECK(read.abbreviations == rules().abbreviations);
  CHECK(read.spoken == rules().spoken);
  CHECK(read.negating_prefixes == rules().negating_prefixes);
  kb::Lexicon before = learned();
  kb::Lexicon after(read, {});
  after.read(in);
  for (const char* word : {"vermiculite", "shingle", "12x12", "grey", "unheard", "laggin"}) {
    CAPTURE(std::string(word));
    CHECK(after.look_up(word).id == before.look_up(word).id);
    CHECK(after.look_up(word).folded == before.look_up(word).folded);
  }
}

TEST_CASE("the corpus corrects misspelt materials and leaves ordinary words alone") {
  kb::Lexicon& lexicon = *test_knowledge().lexicon;
  const Case cases[] = {
      {"vermiculte", "vermiculite"}, {"asbetsos", "asbestos"}, {"bsmt", "basement"}};
  for (const Case& c : cases) {
    CAPTURE(c.typed);
    CHECK(lexicon.look_up(c.typed).folded == c.read);
  }
  int known = 0;
  for (const char* word :
       {"dinner", "window", "garden", "kitchen", "lovely", "sitting", "vehicle"}) {
    CAPTURE(std::string(word));
    known += test_database().general_word(word) ? 1 : 0;
    CHECK_FALSE(lexicon.look_up(word).corrected);
  }
  CHECK(known == 7);
}
