// The rules for pages and drawings: each has a bad and a good file in tests/lint, and none is without one.
//
// A lint page may say in a comment where it stands ("# at: materials/lint-material.md", else
// basics/lint-basics.md) and on which line its fault is ("# bad: 12", else 1).
#include <doctest/doctest.h>

#include <filesystem>
#include <map>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include "indexer/problem.h"
#include "indexer/run.h"
#include "tests/unit/pages_for_tests.h"

namespace {

namespace fs = std::filesystem;

const std::string kSource = LETBE_SOURCE_DIR;

// The text behind `mark` up to the end of its line; `otherwise` when there is no such mark.
std::string after_mark(const std::string& text, const std::string& mark,
                       const std::string& otherwise) {
  const std::size_t at = text.find(mark);
  if (at == std::string::npos) return otherwise;
  const std::size_t begin = at + mark.size();
  return text.substr(begin, text.find_first_of("\r\n", begin) - begin);
}

// The lines of all problems of one lint page.
std::vector<indexer::Problem> lint(const std::string& text) {
  const std::string at = text.starts_with('<') ? "materials/lint-material.svg" : after_mark(text, "# at: ", "basics/lint-basics.md");
  return problems_of({base_folder({source("a", at, text)})});
}

}  // namespace

TEST_CASE("the rule table is in order and no id is used twice") {
  int number = 0;
  for (const indexer::RuleInfo& rule : indexer::all_rules()) {
    const std::string digits = std::to_string(++number);
    CHECK(std::string(rule.id) == "KB" + std::string(3 - digits.size(), '0') + digits);
    CHECK(static_cast<int>(rule.rule) == number - 1);
  }
}

TEST_CASE("every page rule has a bad page with exactly its fault and a good page with none") {
  for (const indexer::RuleInfo& rule : indexer::all_rules()) {
    if (rule.scope != indexer::Scope::page) continue;
    CAPTURE(rule.id);
    const std::string bad =
        bytes_of_test_file("lint/" + std::string(rule.id) + "-bad.md");
    const auto found = lint(bad);
    CAPTURE(report(found));
    REQUIRE(found.size() == 1);
    CHECK(found[0].rule == rule.id);
    CHECK(std::to_string(found[0].line) == after_mark(bad, "# bad: ", "1"));
    const bool way_out = found[0].message.find("; ") != std::string::npos ||
                         found[0].message.find(" (") != std::string::npos;
    CHECK(way_out);
    CHECK(report(lint(good_page(rule.id))).empty());
  }
}

TEST_CASE("every drawing rule has a bad drawing with exactly its fault and a good one with none") {
  // The line of each fault; a drawing can hold no comment that says it.
  const std::map<std::string, int> lines{{"KB052", 1}, {"KB053", 7}, {"KB054", 1}, {"KB055", 1}, {"KB056", 6}, {"KB057", 6}, {"KB058", 4}};
  for (const indexer::RuleInfo& rule : indexer::all_rules()) {
    if (rule.scope != indexer::Scope::drawing) continue;
    CAPTURE(rule.id);
    const auto found = lint(bytes_of_test_file("lint/" + std::string(rule.id) + "-bad.svg"));
    CAPTURE(report(found));
    REQUIRE(found.size() == 1);
    CHECK(found[0].file == "a/materials/lint-material.svg");
    CHECK(found[0].rule == rule.id);
    CHECK(found[0].line == lines.at(rule.id));
    CHECK(found[0].message.find("; ") != std::string::npos);
    CHECK(report(lint(bytes_of_test_file("lint/" + std::string(rule.id) + "-good.svg"))).empty());
  }
}

TEST_CASE("no lint page is left over") {
  std::set<std::string> wanted;
  for (const indexer::RuleInfo& rule : indexer::all_rules())
    if (rule.scope != indexer::Scope::corpus)
      for (const char* end : {"-bad", "-good"}) wanted.insert(rule.id + std::string(end) + (rule.scope == indexer::Scope::page ? ".md" : ".svg"));
  std::set<std::string> there;
  for (const auto& entry : fs::directory_iterator(fs::path(kSource) / "tests/lint"))
    there.insert(entry.path().filename().string());
  CHECK(there == wanted);
}

TEST_CASE("the articles of this project have no fault") {
  std::ostringstream out;
  std::ostringstream err;
  CHECK(indexer::run({"--check", kSource + "/articles"}, out, err) == indexer::kDone);
  CHECK(err.str().empty());
}

TEST_CASE("each message says what is wrong and what to write instead") {
  const std::string material = good_page("KB005");
  struct Case {
    const char* from;
    const char* to;
    const char* message;
  };
  const Case cases[] = {
      {"friability: friable", "freability: friable",
       "a/materials/lint-material.md:12: unknown key 'freability'; did you mean 'friability'? "
       "[KB001]\n"},
      {"friability: friable", "friability: fryable",
       "a/materials/lint-material.md:12: 'fryable' is no friability; did you mean 'friable'? "
       "[KB005]\n"},
      {"kind: material", "kind: caution",
       "a/materials/lint-material.md:4: kind 'caution' in the folder 'materials'; write "
       "'material', or "
       "move the file to 'cautions' [KB005]\n"},
      {"friability: friable\n", "",
       "a/materials/lint-material.md:1: missing key 'friability' (friable, nonfriable or "
       "becomes-friable) [KB003]\n"},
      {"unstated: evaluate", "unstated: maybe",
       "a/materials/lint-material.md:14: 'maybe' is no unstated; write evaluate or leave "
       "[KB005]\n"},
      {"reviewed: 2026-11-25", "reviewed: 2026-02-30",
       "a/materials/lint-material.md:26: '2026-02-30' is no date; write 'reviewed' as YYYY-MM-DD "
       "[KB005]\n"},
      {"to: 1978, ", "",
       "a/materials/lint-material.md:10: missing key 'to' under 'years'; it needs from, to, "
       "soft-end [KB003]\n"},
      {"to: 1978", "to: 2978",
       "a/materials/lint-material.md:10: 'years: to' is 2978; write a number from 1800 to 2100 "
       "[KB006]\n"},
      {"to: 1978", "to: now",
       "a/materials/lint-material.md:10: 'years: to' is no whole number; write digits only "
       "[KB004]\n"},
      {"[6, 15]", "[15, 6]",
       "a/materials/lint-material.md:11: 'percent' runs backwards; write [lo, hi] [KB006]\n"},
      {"[6, 15]", "[6, 150]",
       "a/materials/lint-material.md:11: 'percent' is over 100; write a share from 0 to 100 "
       "[KB006]\n"},
      {"[6, 15]", "[-6, 15]",
       "a/materials/lint-material.md:11: 'percent' holds no number; write [lo, hi] in digits "
       "[KB004]\n"},
      {"status: second-hand", "status: second hand",
       "a/materials/lint-material.md:25: 'second hand' is no status; did you mean 'second-hand'? "
       "[KB005]\n"},
      {"names: [gray pipe cover]", "names: []",
       "a/materials/lint-material.md:6: 'names' is an empty list; write at least one entry "
       "[KB004]\n"},
      {"names: [gray pipe cover]", "names: [gray pipe cover, ]\nyears: 3",
       "a/materials/lint-material.md:7: 'years' is no mapping; write 'from, to, soft-end' with a "
       "value each "
       "[KB004]\n"
       "a/materials/lint-material.md:11: repeated key 'years', first on line 7; keep one of them "
       "[KB002]\n"},
      {"us-class: friable", "us-class: friable\nus-line: {basis: house, year: 1980}",
       "a/materials/lint-material.md:14: 'house' is no basis; write building or installation "
       "[KB005]\n"},
      {"title: Gray pipe cover", "title: &a Gray pipe cover",
       "a/materials/lint-material.md:5: an anchor ('&'); write the value out, or quote it "
       "[KB022]\n"},
      {"title: Gray pipe cover", "title:",
       "a/materials/lint-material.md:5: 'title' is empty; write its text or take it out [KB004]\n"},
      {"look-also: [lint-other]", "look-also: [lint-other, lint-other]",
       "a/materials/lint-material.md:19: 'lint-other' stands twice in 'look-also'; keep one of "
       "them "
       "[KB017]\n"},
      {"guide, paragraph 1", "guide, http://x.example",
       "a/materials/lint-material.md:23: a web address; name the document and its paragraph "
       "instead "
       "[KB027]\n"},
      {"## In short\n", "# In short\n",
       "a/materials/lint-material.md:29: a heading of level 1; the title stands in the front "
       "matter, "
       "write '##' [KB011]\n"
       "a/materials/lint-material.md:30: text before the first section; put it below a '##' "
       "heading "
       "[KB031]\n"
       "a/materials/lint-material.md:32: missing section 'In short'; write '## In short' first "
       "[KB009]\n"},
      {"Basements, from",
       "Basements; see `lint-othre`, [glass](lint-lookalike) and <!-- x --> from",
       "a/materials/lint-material.md:36: unknown article 'lint-othre'; did you mean 'lint-other'? "
       "[KB012]\n"
       "a/materials/lint-material.md:36: raw HTML; write markdown, and `<` in backquotes "
       "[KB027]\n"},
      {"Basements, from", "Basements.\n\nThe [law](https://x.example)\nand ![it](x.png) from",
       "a/materials/lint-material.md:38: a link out of the corpus; link to an article's id, or "
       "name it "
       "[KB027]\n"
       "a/materials/lint-material.md:39: an image; describe it in words [KB027]\n"},
      {"Basements, from 1920 on.", "Basements\n---\n",
       "a/materials/lint-material.md:36: an underlined heading; write '## ' before it, or an empty "
       "line "
       "above the dashes [KB011]\n"},
      {"that may contain asbestos. Leave", "that *may* contain asbestos. Leave",
       "a/materials/lint-material.md:44: 'Report wording' is not one paragraph of plain text; it "
       "is "
       "pasted into reports, so write one paragraph without lists, emphasis or links [KB025]\n"},
  };
  for (const Case& c : cases) {
    CAPTURE(c.to);
    std::string found = report(lint(replaced(material, c.from, c.to)));
    CHECK(found == std::string(c.message));
  }
}

TEST_CASE("a mark, Windows line ends and a missing last line end do no harm") {
  const std::string page = good_page("KB005");
  std::string windows = "\xEF\xBB\xBF";
  for (const char c : page) windows += c == '\n' ? std::string("\r\n") : std::string(1, c);
  CHECK(report(lint(windows)).empty());
  CHECK(report(lint(page.substr(0, page.size() - 1))).empty());
  // Lines are still counted as an editor shows them.
  CHECK(lint(replaced(windows, "unstated: evaluate", "unstated: maybe")).at(0).line == 14);
}

TEST_CASE("a page of exactly 64 KiB is read, one byte more is not") {
  std::string page = good_page("KB019");
  page.append(indexer::kLargestPage - page.size(), '\n');
  CHECK(report(lint(page)).empty());
  CHECK(lint(page + "\n").at(0).rule == "KB019");
}

TEST_CASE("hostile pages end in a problem, not in a crash or a wait") {
  const std::string page = good_page("KB019");
  std::string brackets;
  for (int i = 0; i < 9000; ++i) brackets += "![[]()";
  const std::string nested(3000, '[');
  CHECK_NOTHROW(lint(replaced(page, "Only a laboratory", brackets)));
  CHECK_NOTHROW(lint(replaced(page, "heard-as: []", "heard-as: " + nested)));
  CHECK(lint(replaced(page, "heard-as: []", "heard-as: *x")).at(0).rule == "KB022");
  CHECK(lint(replaced(page, "heard-as: []", "[a, b]: c\nheard-as: []")).at(0).rule == "KB022");
  for (const char* text : {"", "---", "---\n", "---\n---\n", "\n", "--- x\n", "---\n- a\n---\n"}) {
    CAPTURE(text);
    CHECK(!lint(text).empty());
  }
}
