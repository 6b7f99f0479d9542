// The US workplace presumption against 29 CFR 1926.1101(b) and (k)(1).
//
// Source and status: 29 CFR 1926.1101(b): presumed material is thermal system insulation and surfacing
// in buildings constructed no later than 1980 (OSHA memorandum of 7 February 1997, published; the exact
// wording of the definition from memory). 29 CFR 1926.1101(k)(1): asphalt and vinyl flooring installed
// no later than 1980 (published). Joint compound is not surfacing (OSHA letter of 14 May 1998,
// published); no presumption for siding and roofing (the memorandum, published).
#include <doctest/doctest.h>

#include <string>

#include "kb/articles.h"
#include "tests/unit/corpus_for_tests.h"

namespace {

struct Line {
  std::string basis;  // building, installation, or empty: the rule does not speak of it.
  int year = 0;
};

Line us_line(const std::string& id) {
  auto row = test_database().query(
      "SELECT coalesce(front->>'$.us-line.basis',''), coalesce(front->>'$.us-line.year',0) FROM article WHERE id=?1");
  row.bind(1, id);
  REQUIRE(row.step());
  return {row.text(0), static_cast<int>(row.integer(1))};
}

// Does the rule alone speak of a material with this date of building or of installation?
bool rule_speaks(const Line& line, int built, int installed) {
  if (line.basis == "building") return built <= line.year;
  if (line.basis == "installation") return installed <= line.year;
  return false;
}

std::string section(const std::string& id, const std::string& heading) {
  const auto article = kb::load_article(test_database(), id);
  REQUIRE(article);
  for (const kb::Section& s : article->sections)
    if (s.heading == heading) return s.body;
  return {};
}

bool holds(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

}  // namespace

TEST_CASE("thermal system insulation and surfacing go by the building's year, 1980 included") {
  for (const char* id : {"pipe-lagging", "air-cell-pipe-wrap", "fitting-mud", "boiler-jacket", "duct-paper-wrap", "popcorn-ceiling"}) {
    CAPTURE(std::string(id));
    const Line line = us_line(id);
    CHECK(line.basis == "building");
    CHECK(rule_speaks(line, 1979, 2000));
    CHECK(rule_speaks(line, 1980, 2000));
    CHECK_FALSE(rule_speaks(line, 1981, 1981));
  }
}

TEST_CASE("asphalt and vinyl flooring go by the day it was laid, 1980 included") {
  for (const char* id : {"vinyl-floor-tile", "sheet-vinyl-backing"}) {
    CAPTURE(std::string(id));
    const Line line = us_line(id);
    CHECK(line.basis == "installation");
    CHECK(rule_speaks(line, 1950, 1980));
    CHECK(rule_speaks(line, 1990, 1980));
    CHECK_FALSE(rule_speaks(line, 1950, 1981));
  }
}

TEST_CASE("joint compound, siding, cement pipe and flooring adhesive are not in the presumption") {
  for (const char* id : {"joint-compound", "cement-siding", "cement-flue-pipe", "black-mastic", "duct-tape-mastic"}) {
    CAPTURE(std::string(id));
    CHECK(us_line(id).basis.empty());
    CHECK_FALSE(rule_speaks(us_line(id), 1950, 1950));
  }
}

TEST_CASE("the page on presumed materials says what the rule says and no more") {
  const std::string says = section("us-presumed-materials", "What it says");
  const std::string in_short = section("us-presumed-materials", "In short");
  CHECK(holds(in_short, "two groups of material in a building of 1980 or earlier: thermal system insulation and surfacing"));
  CHECK(holds(in_short, "asphalt or vinyl flooring installed in 1980 or earlier is treated as asbestos-containing"));
  CHECK(holds(says, "**Thermal system insulation** in a building constructed no later than 1980 is presumed"));
  CHECK(holds(says, "**Surfacing material** in a building constructed no later than 1980 is presumed"));
  CHECK(holds(says, "**Asphalt or vinyl flooring** installed no later than 1980"));
  CHECK(holds(says, "**A date of 1981 triggers neither by this rule alone.**"));
  CHECK(holds(says, "There is no presumption for joint compound and wallboard systems, siding, roofing or gaskets."));
  CHECK(holds(says, "more than 1 percent; exactly 1 percent is not above the line"));
}

TEST_CASE("a report never uses the workplace rule's word, whatever the year") {
  // facts of practice, section 1: inspectors' disputes come from this mix-up.
  const kb::Knowledge& k = test_knowledge();
  for (const kb::Material& m : k.materials) {
    CAPTURE(m.id);
    std::string all = m.base;
    for (const auto& [condition, text] : m.variants) all += " " + text;
    CHECK_FALSE(holds(all, "presum"));
    CHECK(holds(m.base, "may contain asbestos"));
  }
}
