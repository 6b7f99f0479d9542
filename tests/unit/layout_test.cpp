// kb/layout.h: how a note falls into observations.
#include "kb/layout.h"

#include <doctest/doctest.h>

#include <string>
#include <string_view>
#include <vector>

namespace {

std::string part(std::string_view note, kb::Span s) {
  return std::string(note.substr(s.begin, s.end - s.begin));
}

// Each observation as "heading/label/text@anchor", on lines of their own.
std::string laid_out(std::string_view note, const std::vector<kb::Span>& skip = {}) {
  std::string out;
  for (const kb::Observation& o : kb::lay_out(note, skip))
    out += part(note, o.heading) + "/" + part(note, o.label) + "/" + part(note, o.span) + "@" +
           std::to_string(o.anchor) + "\n";
  return out;
}

struct Case {
  std::string note;
  std::string rows;
};

void check(const std::vector<Case>& cases) {
  for (const Case& c : cases) {
    CAPTURE(c.note);
    CHECK(laid_out(c.note) == c.rows);
  }
}

}  // namespace

TEST_CASE("a paragraph is one observation, wrapped or not") {
  check({
      {"", ""},
      {"\n \n\t\r\n", ""},
      {"Tile", "//Tile@4\n"},
      {"  Tile  \n", "//Tile@9\n"},
      {"Paper wrap on the\nboot, torn", "//Paper wrap on the\nboot, torn@28\n"},
      {"One.\n\nTwo.\n", "//One.@6\n//Two.@11\n"},
      // A short line that ends a sentence ends its observation.
      {"One is here.\nTwo.\n", "//One is here.@13\n//Two.@18\n"},
      {"This is a line of sixty characters and more, it ends a sentence.\nTwo.\n",
       "//This is a line of sixty characters and more, it ends a sentence.\nTwo.@70\n"},
      {"One\rtwo\n", "//One\rtwo@8\n"},
  });
}

TEST_CASE("a list item is an observation without its mark") {
  check({
      {"- a\n- b\n", "//a@4\n//b@8\n"},
      {"* a\n+ b\n• c\n", "//a@4\n//b@8\n//c@14\n"},
      {"1. a\n2) b\n(c) d\n(3)e\n", "//a@5\n//b@10\n//d@16\n//e@21\n"},
      {"- a b\n  goes on\n- c", "//a b\n  goes on@16\n//c@19\n"},
      {"Seen:\n  12. pipe", "Seen//pipe@16\n"},
  });
  // No marks.
  check({
      {"-a", "//-a@2\n"},
      {"1.5 in of fill", "//1.5 in of fill@14\n"},
      {"1234. Four", "//1234. Four@10\n"},
      {"(ab) pipe", "//(ab) pipe@9\n"},
      {"*bold* pipe", "//*bold* pipe@11\n"},
      {"-", "//-@1\n"},
      {"(", "//(@1\n"},
      {"7", "//7@1\n"},
  });
}

TEST_CASE("a heading gives its place to what follows and is no observation") {
  check({
      {"# Attic\nFill.\n", "Attic//Fill.@14\n"},
      {"## Attic ##:\n\nFill.\n", "Attic ##//Fill.@20\n"},
      {"Attic:\n- a\n- b\n\nHall:\nc\n", "Attic//a@11\nAttic//b@16\nHall//c@24\n"},
      {"BASEMENT\nPipe lagging.\n", "BASEMENT//Pipe lagging.@23\n"},
      {"UNIT 2 BATH\n\nTile.\n", "UNIT 2 BATH//Tile.@19\n"},
      {"One.\nATTIC\nTwo.\n", "//One.@5\nATTIC//Two.@16\n"},
      {"ATTIC\n", "//ATTIC@6\n"},
      {"Tile.\n\nATTIC", "//Tile.@7\n//ATTIC@12\n"},
  });
  // No headings: a sentence, too many words, fewer than three letters, a long line.
  check({
      {"ACM!\ntile", "//ACM!@5\n//tile@9\n"},
      {"ONE TWO THREE FOUR FIVE SIX\ntile", "//ONE TWO THREE FOUR FIVE SIX\ntile@32\n"},
      {"NE\ntile", "//NE\ntile@7\n"},
      {"- ATTIC\ntile", "//ATTIC\ntile@12\n"},
      {std::string(61, 'a') + ":\nb", "//" + std::string(61, 'a') + ":\nb@64\n"},
  });
}

TEST_CASE("a note in capitals throughout has no headings among its lines") {
  check({
      {"PIPE LAGGING IN CELLAR\nTORN\n", "//PIPE LAGGING IN CELLAR\nTORN@28\n"},
      {"PIPE LAGGING.\n\nTILE, 9X9.\n", "//PIPE LAGGING.@15\n//TILE, 9X9.@26\n"},
      {"ATTIC:\nFILL\n", "ATTIC//FILL@12\n"},
  });
}

TEST_CASE("a label in front of its line is part of the observation") {
  check({
      {"Attic: fill.\n", "/Attic/Attic: fill.@13\n"},
      {"Unit 2 bath - tile.", "/Unit 2 bath/Unit 2 bath - tile.@19\n"},
      {"- Hall: tile", "/Hall/Hall: tile@12\n"},
      {"Attic: fill\nHall: tile\n", "/Attic/Attic: fill@12\n/Hall/Hall: tile@23\n"},
      {"Hall:tile", "/Hall/Hall:tile@9\n"},
      // Inside a paragraph a dash is only a dash.
      {"Paper wrap\nboot - torn", "//Paper wrap\nboot - torn@22\n"},
  });
  // No labels.
  check({
      {"12:30 walk", "//12:30 walk@10\n"},
      {"Seen, attic: fill", "//Seen, attic: fill@17\n"},
      {"Ratio 1:5 mix", "//Ratio 1:5 mix@13\n"},
      {": fill", "//: fill@6\n"},
      {"pipe-lagging torn", "//pipe-lagging torn@17\n"},
      {"- - fill", "//- fill@8\n"},
      {std::string(41, 'a') + ": b", "//" + std::string(41, 'a') + ": b@44\n"},
  });
}

TEST_CASE("line ends of either kind and a byte-order mark are not in the text") {
  check({
      {"Attic:\r\n\r\n- Fill.\r\nHall: tile\r\n", "Attic//Fill.@19\nAttic/Hall/Hall: tile@31\n"},
      {"One\r\ntwo\r\n\r\nThree\r\n", "//One\r\ntwo@12\n//Three@19\n"},
      {"\xEF\xBB\xBFTile.\n", "//Tile.@9\n"},
      {"\xEF\xBB\xBF# Attic\nTile.\n", "Attic//Tile.@17\n"},
      {"\xEF\xBB\xBF", ""},
  });
}

TEST_CASE("an anchor lies past the line and one empty line below, or at the note's end") {
  check({
      {"A.\n", "//A.@3\n"},
      {"A.\n\n", "//A.@4\n"},
      {"A.\n\n\nB.", "//A.@4\n//B.@7\n"},
      {"A.\n \t\nB.", "//A.@6\n//B.@8\n"},
      {"A.\n- B.", "//A.@3\n//B.@7\n"},
      {"A.\r\n\r\nB.", "//A.@6\n//B.@8\n"},
      {"A.\n# H\nB.", "//A.@3\nH//B.@9\n"},
  });
}

TEST_CASE("what is skipped ends an observation and is not read") {
  const std::string note = "One\nX\nY\ntwo\n\nX\n\nThree";
  CHECK(laid_out(note, {{4, 8}, {13, 15}}) == "//One@4\n//two@13\n//Three@21\n");
  CHECK(laid_out(note, {{0, note.size()}}).empty());
  CHECK(laid_out("ATTIC\nskipped\nTile.", {{6, 14}}) == "//ATTIC@6\n//Tile.@19\n");
}

TEST_CASE("a very long text is cut into parts that keep its bytes, its heading and its anchor") {
  for (const char* filling : {"word and. ", "word ", "x", "é"}) {
    CAPTURE(std::string(filling));
    std::string note = "ATTIC\nHall: ";
    while (note.size() < 50'000) note += filling;
    note += "end\n\nlast";
    const auto all = kb::lay_out(note);
    REQUIRE(all.size() > 6);
    std::size_t at = 6;
    for (std::size_t i = 0; i + 1 < all.size(); ++i) {
      CHECK(all[i].span.begin == at);
      at = all[i].span.end;
      CHECK(at - all[i].span.begin <= 8192);
      CHECK(at > all[i].span.begin);
      CHECK(all[i].anchor == note.size() - 4);
      CHECK(part(note, all[i].heading) == "ATTIC");
      CHECK(part(note, all[i].label) == (i == 0 ? "Hall" : ""));
    }
    CHECK(at == note.size() - 6);
    CHECK(part(note, all.back().span) == "last");
  }
}
