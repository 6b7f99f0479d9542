// First years, shares and classes of the materials against the published tables.
//
// The figures are data beside this file: products.tsv (rows of published tables, each with its
// source and how well that was read) and last_use.tsv. Classes: 40 CFR 61.141 and 40 CFR 61 subpart
// M, appendix A, paragraph 1.2 (published).
#include <doctest/doctest.h>

#include <algorithm>
#include <fstream>
#include <map>
#include <optional>
#include <sstream>
#include <string>
#include <vector>

#include "kb/articles.h"
#include "tests/published/article_text.h"
#include "tests/unit/corpus_for_tests.h"

namespace {

using Figure = std::optional<int>;

// The widest figures of all rows of a material.
struct Figures {
  Figure from, to;   // Years.
  Figure low, high;  // Percent of asbestos.
  int rows = 0;
  int last_use = 0;
};

std::vector<std::vector<std::string>> rows_of(const std::string& file) {
  std::ifstream in(std::string(LETBE_SOURCE_DIR) + "/tests/published/" + file);
  REQUIRE_MESSAGE(in, "missing: ", file);
  std::vector<std::vector<std::string>> out;
  for (std::string line; std::getline(in, line);) {
    if (line.starts_with('#')) continue;
    std::vector<std::string> cells;
    std::istringstream parts(line);
    for (std::string cell; std::getline(parts, cell, '\t');) cells.push_back(cell);
    out.push_back(cells);
  }
  return out;
}

void widen(Figure& into, const std::string& cell, bool lower) {
  if (cell.empty()) return;
  const int value = std::stoi(cell);
  into = !into ? value : lower ? std::min(*into, value) : std::max(*into, value);
}

const std::map<std::string, Figures>& tables() {
  static const std::map<std::string, Figures> all = [] {
    std::map<std::string, Figures> out;
    for (const auto& row : rows_of("products.tsv")) {
      REQUIRE_MESSAGE(row.size() == 8, row.at(0));
      const bool known = row[7] == "published" || row[7] == "second-hand" || row[7] == "from memory";
      CHECK_MESSAGE(known, row[0], row[7]);
      Figures& f = out[row[0]];
      ++f.rows;
      widen(f.from, row[2], true);
      widen(f.to, row[3], false);
      widen(f.low, row[4], true);
      widen(f.high, row[5], false);
    }
    for (const auto& row : rows_of("last_use.tsv")) out[row.at(0)].last_use = std::stoi(row.at(1));
    return out;
  }();
  return all;
}

// Calls `visit(id, figures)` for every written material.
template <typename Visit>
void for_each_material(Visit visit) {
  int count = 0;
  for (const kb::Material& m : test_knowledge().materials) {
    const auto found = tables().find(m.id);
    REQUIRE_MESSAGE(found != tables().end(), m.id);
    visit(m.id, found->second);
    ++count;
  }
  CHECK(count > 10);
}

std::string value(const std::string& id, std::string_view path) {
  auto row = test_database().query("SELECT front->>?2 FROM article WHERE id=?1");
  row.bind(1, id);
  row.bind(2, path);
  REQUIRE(row.step());
  return row.text(0);
}

Figure number(const std::string& id, std::string_view path) {
  const std::string text = value(id, path);
  return text.empty() ? Figure{} : Figure{std::stoi(text)};
}

}  // namespace

TEST_CASE("every written material has its published figures and its last use here") {
  for_each_material([](const std::string& id, const Figures& f) {
    CAPTURE(id);
    CHECK(f.rows > 0);
    CHECK(f.last_use > 0);
  });
}

TEST_CASE("first years are the earliest of the published tables, and where none has one the page says so") {
  for_each_material([](const std::string& id, const Figures& f) {
    CAPTURE(id);
    if (f.from) {
      CHECK(number(id, "$.years.from") == f.from);
    } else {
      const std::string why = value(id, "$.years.soft-end");
      CAPTURE(why);
      CHECK((holds(why, "start") || holds(why, "first year")));
    }
  });
}

TEST_CASE("common use ends no earlier than the tables and as late as the cautious reading") {
  for_each_material([](const std::string& id, const Figures& f) {
    CAPTURE(id);
    // The United Kingdom sold bitumen coatings to 1992; US use of the one under sinks is read as 1985.
    if (f.to && id != "sink-undercoating") CHECK(f.last_use >= *f.to);
    CHECK(number(id, "$.years.to") == f.last_use);
    CHECK_FALSE(value(id, "$.years.soft-end").empty());
  });
}

TEST_CASE("shares of asbestos are the widest of the published tables, and none is made up") {
  for_each_material([](const std::string& id, const Figures& f) {
    CAPTURE(id);
    if (f.low) CHECK(number(id, "$.asbestos.percent[0]") == f.low);
    CHECK(number(id, "$.asbestos.percent[1]") == f.high);
  });
}

TEST_CASE("no share is printed for vermiculite, where a low result clears nothing") {
  // EPA and ATSDR on vermiculite attic insulation (second-hand).
  CHECK(value("vermiculite-fill", "$.asbestos.percent").empty());
}

TEST_CASE("an article claims no better source for its figures than was read") {
  // No government table with these two's shares was read: no source behind them may say more.
  for (const char* id : {"fitting-mud", "duct-tape-mastic"}) {
    CAPTURE(std::string(id));
    auto row = test_database().query(
        "SELECT count(*), sum(s.value->>'$.status' = 'from memory') FROM article,"
        " json_each(front, '$.sources') s, json_each(s.value, '$.backs') b"
        " WHERE article.id=?1 AND b.value='asbestos'");
    row.bind(1, std::string_view(id));
    REQUIRE(row.step());
    CHECK(row.integer(0) > 0);
    CHECK(row.integer(1) == row.integer(0));
  }
  // A copy was read for these, never the print: EPA's table is nowhere marked as published.
  auto row = test_database().query(
      "SELECT article.id FROM article, json_each(front, '$.sources') s"
      " WHERE s.value->>'$.cite' LIKE '%560/5-85-024%' AND s.value->>'$.status' = 'published'");
  while (row.step()) {
    CAPTURE(row.text(0));
    CHECK(false);
  }
}

TEST_CASE("friability and class of flooring, roofing, cement and insulation match 40 CFR 61.141") {
  struct Case {
    const char* id;
    const char* us_class;
    const char* friability;
  };
  const Case cases[] = {
      // Category I: resilient floor covering; appendix A 1.2 adds its mastic.
      {"vinyl-floor-tile", "category-i", "nonfriable"},
      {"asphalt-floor-tile", "category-i", "nonfriable"},
      {"sheet-vinyl-backing", "category-i", "becomes-friable"},
      {"black-mastic", "category-i", "becomes-friable"},
      // Category I: asphalt roofing products; appendix A 1.2 names felts and coatings.
      {"roofing-felt", "category-i", nullptr},
      {"asphalt-shingle", "category-i", nullptr},
      {"roof-coating-mastic", "category-i", nullptr},
      // Category II: any other nonfriable material, such as asbestos-cement.
      {"cement-siding", "category-ii", "becomes-friable"},
      {"cement-flue-pipe", "category-ii", "becomes-friable"},
      {"cement-roof-shingle", "category-ii", nullptr},
      {"corrugated-cement-sheet", "category-ii", nullptr},
      // Friable: hand pressure crumbles it when dry.
      {"pipe-lagging", "friable", "friable"},
      {"air-cell-pipe-wrap", "friable", "friable"},
      {"fitting-mud", "friable", "friable"},
      {"boiler-jacket", "friable", "friable"},
      {"duct-paper-wrap", "friable", "friable"},
  };
  for (const Case& c : cases) {
    CAPTURE(std::string(c.id));
    CHECK(value(c.id, "$.us-class") == c.us_class);
    if (c.friability == nullptr)
      CHECK(value(c.id, "$.friability") != "friable");
    else
      CHECK(value(c.id, "$.friability") == c.friability);
  }
}

TEST_CASE("the pages say the class of 40 CFR 61.141 in words") {
  struct Case {
    const char* id;
    const char* says;
  };
  const Case cases[] = {
      {"vinyl-floor-tile", "Under the federal air rule it is Category I, nonfriable"},
      {"sheet-vinyl-backing", "resilient floor covering is Category I, nonfriable"},
      {"black-mastic", "floor-covering mastic is named in Category I, nonfriable"},
      {"cement-siding", "In US terms it is Category II nonfriable."},
      {"cement-flue-pipe", "Sound pipe is nonfriable, Category II under the US air rule."},
      {"pipe-lagging", "It is friable. Under the US air rule it is regulated material"},
      {"air-cell-pipe-wrap", "It is friable. Under the US air rule it is regulated material"},
      {"boiler-jacket", "It is friable. Under the US air rule it is regulated material"},
      {"fitting-mud", "It is friable, hard skin or not."},
      {"duct-paper-wrap", "The paper is friable."},
      {"us-friability-classes",
       "**Friable asbestos material**: more than 1 percent asbestos by polarized light microscopy, "
       "and when dry it can be crumbled, pulverized or reduced to powder by hand pressure."},
      {"us-friability-classes",
       "**Category I nonfriable**: packings, gaskets, resilient floor covering and asphalt roofing "
       "products above 1 percent. Appendix A also lists floor-covering mastic, roofing felts, roof "
       "coatings, flashings"},
      {"us-friability-classes",
       "**Category II nonfriable**: any other material above 1 percent that hand pressure cannot "
       "crumble when dry. Examples are asbestos-cement shingles, tiles and boards."},
      {"us-friability-classes",
       "Friable: pipe and boiler insulation, fitting cement, paper on ducts, sprayed ceilings and "
       "coats."},
      {"us-friability-classes",
       "Category I: vinyl and asphalt tile, sheet flooring, floor mastic, gaskets, asphalt "
       "roofing."},
      {"us-friability-classes",
       "Category II: cement siding, flat and corrugated cement sheet, cement pipe."},
      {"us-friability-classes", "Cement products are Category II."},
  };
  for (const Case& c : cases) {
    CAPTURE(std::string(c.id));
    CAPTURE(std::string(c.says));
    CHECK(holds(printed(c.id), c.says));
  }
}

TEST_CASE("the pages print the first year and the share that their front matter gives") {
  // So that a figure cannot be corrected in one place only.
  struct Case {
    const char* id;
    const char* says;
  };
  const Case cases[] = {
      {"cement-flue-pipe", "starts cement pipe in 1935 and leaves the end open as of 1985"},
      {"cement-flue-pipe", "The percentage here, 10 to 20, joins two lists."},
      {"duct-paper-wrap", "gives corrugated paper 1910 to 1980 with a question mark"},
      {"duct-paper-wrap", "So the range here is 35 to 100."},
      {"duct-tape-mastic", "The years, 1901 to 1980, and the top figure of 80 percent"},
      {"duct-tape-mastic",
       "The low figure, 35 percent, was read only on a claims-information page"},
      {"air-cell-pipe-wrap", "gives 35 to 70 percent and 1910 to 1980 with a question mark"},
      {"boiler-jacket", "gives 6 to 15 percent for block, 1890 to 1978"},
      {"vermiculite-fill", "over 70 percent of the vermiculite sold in the US from 1919 to 1990"},
      {"popcorn-ceiling", "1 to 15 percent is kept here"},
      {"vinyl-floor-tile", "starts vinyl tile in 1950 and closes at 1980 with a question mark"},
      {"black-mastic", "5 to 25 percent from 1945 to 1980, with a question mark at the end"},
      {"sheet-vinyl-backing", "gives resilient sheet goods 30 percent from 1950 to 1980"},
      {"cement-siding", "US making of such shingles began about 1907."},
      {"cement-siding", "gives 12 to 14 percent for siding shingles and 12 to 15 percent"},
      {"joint-compound", "gives 3 to 5 percent from 1945 to 1977 for joint compound"},
  };
  for (const Case& c : cases) {
    CAPTURE(std::string(c.id));
    CAPTURE(std::string(c.says));
    CHECK(holds(printed(c.id), c.says));
  }
}
