// What pages may say: sentences that are refused, and sentences close to them that are not.
#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "indexer/corpus.h"
#include "indexer/corpus_source.h"
#include "indexer/house_style.h"
#include "indexer/markdown.h"
#include "indexer/repeated_runs.h"
#include "indexer/wording_lint.h"

namespace {

const std::string kArticles = std::string(LETBE_SOURCE_DIR) + "/articles";

// The project's own house style.
struct Style {
  indexer::Problems problems;
  indexer::Sources sources{indexer::list_folder(kArticles, problems)};
  indexer::Corpus corpus{indexer::assemble(sources, problems)};
  indexer::HouseStyle style{indexer::house_style(corpus, problems)};
};

const indexer::HouseStyle& project_style() {
  static const Style loaded;
  REQUIRE(loaded.style.present);
  return loaded.style;
}

indexer::Page page_of(const std::string& body, const std::string& id = "some-page",
                      const char* kind = "material") {
  indexer::Problems problems;
  indexer::Page page;
  page.id = id;
  page.kind = indexer::kind_by_name(kind);
  page.sections = indexer::read_sections(body, {"p.md", 1}, problems);
  page.end = {"p.md", 1};
  REQUIRE(problems.empty());
  return page;
}

// The rules that `text` breaks as a section `heading`, by id.
std::string broken(const std::string& text, const std::string& heading = "Cautions") {
  indexer::Problems problems;
  indexer::WordingLint lint(project_style(), problems);
  lint.run(page_of("## " + heading + "\n" + text + "\n"));
  std::string out;
  for (const auto& problem : problems.sorted()) out += (out.empty() ? "" : " ") + problem.rule;
  return out;
}

// How many repeated runs are reported, and no page is read again for nothing.
std::size_t runs_reported(const std::vector<indexer::Page>& pages, const indexer::HouseStyle& style) {
  indexer::Problems problems;
  indexer::RepeatedRuns runs(style, pages.size());
  for (const indexer::Page& page : pages) runs.add(page);
  if (runs.suspects()) {
    for (const indexer::Page& page : pages) runs.count(page);
    REQUIRE(runs.found());
    for (const indexer::Page& page : pages) runs.report(page, problems);
  }
  return problems.sorted().size();
}

}  // namespace

TEST_CASE("an order to do something to the material is refused in any form") {
  for (const std::string text : {
           "Scrape off what is loose.",
           "Wet the edge first.",
           "Look, and then wrap it.",
           "First, cut a small piece.",
           "- Vacuum the floor",
           "Remove loose debris with a shovel.",
           "You can lift a corner to look below.",
           "The owner should seal the edge.",
           "A handyman may repair it.",
           "The torn end should be sealed.",
           "It needs to be removed.",
           "The joint needs taping.",
           "We recommend removing the tile.",
           "Have it encapsulated.",
           "It is best to paint it.",
           "Do not sweep it but wet it.",
           "If it is loose, tape it.",
           "Before you paint, sand the wall.",
           "Tap it with a coin.",
           "Do these things:\n\n- sand the edge",
       }) {
    CAPTURE(text);
    CHECK(broken(text) == "KB037");
  }
}

TEST_CASE("a prohibition, a supposition and a tale are no orders") {
  for (const std::string text : {
           "Do not scrape, sand or drill it.",
           "Nobody should sweep, vacuum or wipe the dust.",
           "Never lift a tile to look below.",
           "Any work that would cut it waits for an evaluation.",
           "It must not be removed.",
           "Before anyone cuts into it, a professional evaluates it.",
           "If you cut it, fibers come loose.",
           "Somebody has cut the end.",
           "Paint can hide a tear.",
           "Wet paper may fall off.",
           "Tape of the same kind lies on the seams.",
           "A wrap and tape on the seams.",
           "Stay out without touching it.",
           "The cut edge is gray.",
           "Nobody should:\n\n- sand the edge\n- wet it",
       }) {
    CAPTURE(text);
    CHECK(broken(text) == "");
  }
  CHECK(broken("- Sweep it, or wet it", "Nobody should") == "");
  CHECK(broken("- Sweep it daily", "Cautions") == "KB037");
}

TEST_CASE("comfort and approval are refused, and their denial is not") {
  for (const std::string text : {"The tile is safe.", "It is harmless if left alone.", "The wrap is in satisfactory condition.",
                           "This is nothing to worry about.", "The house is asbestos-free.", "It is of no concern.",
                           "Sound tile is fine if it stays.", "That is typical for its age."}) {
    CAPTURE(text);
    CHECK(broken(text) == "KB035");
  }
  for (const std::string text : {"Nobody can say that it is safe.", "No mask makes the space safe.", "Never call it harmless.",
                           "No year says that it is free of asbestos.", "The fine dust settles."}) {
    CAPTURE(text);
    CHECK(broken(text) == "");
  }
}

TEST_CASE("certainty from looks is refused, and a doubt, a rule or a name is not") {
  for (const std::string text : {"This wrap contains asbestos.", "The gray board is asbestos.", "It must be asbestos.",
                           "If it is gray, it contains asbestos."}) {
    CAPTURE(text);
    CHECK(broken(text) == "KB036");
  }
  for (const std::string text : {"It may contain asbestos.", "A laboratory says whether it contains asbestos.",
                           "Assume that it contains asbestos.", "Nobody knows if it is asbestos.",
                           "The sheet is asbestos cement."}) {
    CAPTURE(text);
    CHECK(broken(text) == "");
  }
}

TEST_CASE("the report never names the action") {
  for (const std::string text : {"Removal is advised.", "The end was encapsulated.", "It is presumed to contain it.",
                           "A friable wrap was seen."}) {
    CAPTURE(text);
    CHECK(broken(text, "Report wording") == "KB038");
    CHECK(broken(text, "Cautions") == "");
  }
  CHECK(broken("Nobody should repair it.", "Report wording") == "");
}

TEST_CASE("money, brands, persons and addresses are found") {
  CHECK(broken("A test for $50 is common.") == "KB039");
  CHECK(broken("It is not expensive.") == "KB039");
  CHECK(broken("Sheets of Zorbalite were common.") == "KB040");
  CHECK(broken("A board called ZorBoard was common.") == "KB040");
  CHECK(broken("As Mr. Zorbal wrote, it is old.") == "KB041");
  CHECK(broken("It was seen by Zorba Zorbal in a cellar.") == "KB041");
  CHECK(broken("More at zorbal.org for all.") == "KB042");
  CHECK(broken("Write to a@zorbal for more.") == "KB042");
  CHECK(broken("The EPA and OSHA name it. US rules lead. Category I is one class.") == "");
}

TEST_CASE("fixed sentences of the vocabulary are held to the same rules") {
  indexer::Problems problems;
  indexer::WordingLint lint(project_style(), problems);
  indexer::Value value;
  value.kind = indexer::Value::Kind::text;
  value.text = "Seal it.";
  value.place = {"wording.yaml", 3};
  lint.run(value);
  const auto found = problems.sorted();
  REQUIRE(found.size() == 2);
  CHECK(found[0].rule == "KB037");
  CHECK(found[1].rule == "KB038");
}

TEST_CASE("a row of exceptions excuses its own words on its own page, and one that does nothing is reported") {
  indexer::HouseStyle style = project_style();
  style.exceptions = {{"one-page", indexer::phrase_words("an old safe"), {"house-style.yaml", 7}},
                      {"other-page", indexer::phrase_words("an old safe"), {"house-style.yaml", 8}},
                      {"unread-page", indexer::phrase_words("an old safe"), {"house-style.yaml", 9}}};
  indexer::Problems problems;
  indexer::WordingLint lint(style, problems);
  lint.run(page_of("## Cautions\nAn old safe in a wall. It is safe.\n", "one-page"));
  lint.run(page_of("## Cautions\nA box.\n", "other-page"));
  lint.finish();
  const auto found = problems.sorted();
  REQUIRE(found.size() == 2);
  CHECK(found[0].file == "house-style.yaml");
  CHECK(found[0].line == 8);
  CHECK(found[1].rule == "KB035");
}

TEST_CASE("a run of twelve words may stand in three pages and not in four") {
  indexer::HouseStyle style = project_style();
  style.run_words = 12;
  style.run_pages = 3;
  const std::string run = "one two three four five six seven eight nine ten eleven twelve";
  const auto reported = [&](int pages, const std::string& text) {
    std::vector<indexer::Page> corpus;
    for (int i = 0; i < pages; ++i)
      corpus.push_back(page_of("## Cautions\nOn p" + std::to_string(i) + ": " + text + "\n", "p" + std::to_string(i)));
    return runs_reported(corpus, style);
  };
  CHECK(reported(3, run) == 0);
  CHECK(reported(4, run) == 1);  // Of the same place, told once.
  CHECK(reported(4, "One, two; three four five six seven eight nine ten, eleven TWELVE!") == 1);
  CHECK(reported(4, "one two three four five six seven eight nine ten eleven") == 0);
  CHECK(reported(4, "one two three four five six\n\nseven eight nine ten eleven twelve") == 0);
}

TEST_CASE("twice in one page counts once") {
  indexer::HouseStyle style = project_style();
  style.run_words = 3;
  style.run_pages = 1;
  CHECK(runs_reported({page_of("## Cautions\nOld gray wrap. Old gray wrap.\n")}, style) == 0);
}

TEST_CASE("many different runs make no suspect") {
  indexer::HouseStyle style = project_style();
  style.run_words = 2;
  style.run_pages = 30;
  std::vector<indexer::Page> pages;
  for (int i = 0; i < 40; ++i) {
    std::string text;
    for (int word = 0; word < 3000; ++word) text += " w" + std::to_string(i * 3000 + word);
    pages.push_back(page_of("## Cautions\n" + text + "\n"));
  }
  CHECK(runs_reported(pages, style) == 0);
}

TEST_CASE("small counts are never too low") {
  indexer::SmallCounts counts(1);
  for (std::uint64_t n = 1; n <= 50; ++n)
    for (std::uint64_t times = 0; times < n; ++times) CHECK(counts.add(n) >= times + 1);
  for (std::uint64_t n = 1; n <= 50; ++n) CHECK(counts.at(n) >= n);
  for (int i = 0; i < 300; ++i) counts.add(7);
  CHECK(counts.at(7) == 255);
}
