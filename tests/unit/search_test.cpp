// kb/search.h: whatever is typed, the article that was meant.
#include "kb/search.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cctype>
#include <optional>
#include <string>
#include <vector>

#include "tests/unit/corpus_for_tests.h"

namespace {

using namespace std::string_literals;

kb::FindAnswer find(const std::string& typed, const kb::FindOptions& options = {}) {
  return kb::find(test_database(), typed, options);
}

std::vector<std::string> ids(const std::vector<kb::FindResult>& results) {
  std::vector<std::string> out;
  for (const kb::FindResult& r : results) out.push_back(r.article.id);
  return out;
}

std::string first(const std::string& typed) {
  const kb::FindAnswer answer = find(typed);
  return answer.results.empty() ? "" : answer.results.front().article.id;
}

std::string corrections(const kb::FindAnswer& answer) {
  std::string out;
  for (const kb::Correction& c : answer.corrections)
    out += (out.empty() ? "" : " ") + c.from + ">" + c.to;
  return out;
}

std::string joined(const std::vector<std::string>& texts) {
  std::string out;
  for (const std::string& text : texts) out += text + "|";
  return out;
}

// Where an id stands among the results, from 0; their number when it is not there.
std::size_t rank(const kb::FindAnswer& answer, const std::string& id) {
  const auto all = ids(answer.results);
  return static_cast<std::size_t>(std::find(all.begin(), all.end(), id) - all.begin());
}

struct Case {
  std::string typed, wanted;
};

}  // namespace

TEST_CASE("whatever a person types becomes a valid full-text query") {
  struct Query {
    std::vector<std::string> words;
    std::string query;
  };
  const Query cases[] = {
      {{}, ""},  // The caller answers "nothing found" without asking the database.
      {{""}, ""},
      {{"\0"s}, ""},
      {{"vinyl", "tile"}, R"("vinyl" OR "tile")"},
      {{"pipe-lagging"}, R"("pipe-lagging")"},
      {{"9\"", "tile"}, R"("9""" OR "tile")"},
      {{"\"\""}, R"("""""")"},
      {{"tile", "OR"}, R"("tile" OR "OR")"},
      {{"", "NEAR(", "title:x", "*"}, R"("NEAR(" OR "title:x" OR "*")"},
      {{"til\0e"s}, R"("tile")"},
  };
  for (const auto& c : cases) {
    CAPTURE(c.query);
    CHECK(kb::to_match_query(c.words) == c.query);
    if (c.query.empty()) continue;
    kb::Statement s = test_database().query("SELECT count(*) FROM fts WHERE fts MATCH ?1");
    s.bind(1, c.query);
    CHECK(s.step());
  }
}

TEST_CASE("no byte and no sign that is typed makes finding fail") {
  for (int byte = 0; byte < 256; ++byte) {
    const std::string sign(1, static_cast<char>(byte));
    CAPTURE(byte);
    std::string doubled = sign;
    doubled += sign;
    for (const std::string& typed :
         {sign, doubled, "tile " + sign, sign + "tile", "tile" + sign + "mastic", "\"" + sign})
      CHECK_NOTHROW(find(typed));
    if (byte < 128 && std::isalnum(byte) == 0)
      CHECK(ids(find("pipe lagging " + sign).results).front() == "pipe-lagging");
  }
  for (const char* typed :
       {"AND", "tile OR", "NOT mastic", "NEAR(tile mastic)", "title:tile", "-tile", "tile*",
        "{title} : tile", "^tile", "\"tile", "pre-1980", "what's", "100%", "a.b/c"}) {
    CAPTURE(std::string(typed));
    CHECK_NOTHROW(find(typed));
  }
}

TEST_CASE("nothing typed gives nothing, not even near") {
  for (const std::string& typed : {""s, " \t\n"s, "?!"s, "\0"s, "\xFF\xFE"s, "\"\""s}) {
    CAPTURE(typed);
    const kb::FindAnswer answer = find(typed);
    CHECK(answer.query == typed);
    CHECK(answer.results.empty());
    CHECK(answer.nearest.empty());
    CHECK(answer.corrections.empty());
    CHECK(answer.words == 0);
  }
}

TEST_CASE("the article that is named comes first") {
  const Case cases[] = {
      {"pipe lagging", "pipe-lagging"},
      {"lagged pipes", "pipe-lagging"},
      {"VINYL FLOOR TILES", "vinyl-floor-tile"},
      {"9 x 9 vinyl tile", "vinyl-floor-tile"},
      {"nine by nine vinyl tile", "vinyl-floor-tile"},
      {"9\"x9\" vinyl tile", "vinyl-floor-tile"},
      {"vermiculite", "vermiculite-fill"},
      {"popcorn ceiling", "popcorn-ceiling"},
      {"“popcorn” ceiling", "popcorn-ceiling"},
      {"black mastic", "black-mastic"},
      {"unknown", "unknown-material"},
  };
  for (const auto& c : cases) {
    CAPTURE(c.typed);
    CHECK(first(c.typed) == c.wanted);
  }
}

TEST_CASE("misspelt words are corrected and said so, ordinary words are not") {
  const Case cases[] = {
      {"vermiculte", "vermiculte>vermiculite"},
      {"Vermicultie", "Vermicultie>vermiculite"},
      {"vermiculte vermiculte", "vermiculte>vermiculite"},
      {"popcron ceilng", "popcron>popcorn ceilng>ceiling"},
  };
  for (const auto& c : cases) {
    CAPTURE(c.typed);
    CHECK(corrections(find(c.typed)) == c.wanted);
  }
  CHECK(first("vermiculte") == "vermiculite-fill");
  for (const char* typed :
       {"vermiculite", "dinner", "violin", "qqq", "xylophone", "verm1culite", "9x9", "grey"}) {
    CAPTURE(std::string(typed));
    CHECK(corrections(find(typed)).empty());
  }
}

TEST_CASE("when nothing is found three near articles are told and nothing else") {
  for (const char* typed : {"zzzzzz", "qwxyz", "\xE7\x9F\xB3"}) {
    CAPTURE(std::string(typed));
    const kb::FindAnswer answer = find(typed);
    CHECK(answer.results.empty());
    CHECK(answer.nearest.size() == 3);
  }
  CHECK(find("tile").nearest.empty());
  kb::FindOptions rules;
  rules.kind = "rule";
  for (const kb::FindResult& r : find("zzzzzz", rules).nearest) CHECK(r.article.kind == "rule");
}

TEST_CASE("of a long query the 64 rarest words are asked, and the answer comes all the same") {
  std::string typed;
  for (int i = 0; i < 10'000; ++i)
    typed += "w" + std::string(1, static_cast<char>('a' + i % 26)) + std::to_string(i) + " ";
  const kb::FindAnswer strange = find(typed);
  CHECK(strange.results.size() <= 10);
  CHECK(strange.words > 64);
  CHECK(strange.words_asked <= 64);
  // Words of the corpus, far more than are asked.
  kb::Statement s = test_database().query(
      "SELECT word FROM corpus_word WHERE articles<3 ORDER BY word LIMIT 300");
  std::string known;
  while (s.step()) known += s.text(0) + " ";
  const kb::FindAnswer many = find("vermiculite " + known);
  CHECK(many.words > 64);
  CHECK(many.words_asked == 64);
  CHECK(many.results.size() == 10);
  const kb::FindAnswer few = find("black mastic below tile");
  CHECK(few.words == 4);
  CHECK(few.words_asked == 4);
  CHECK_NOTHROW(find(std::string(1'000'000, 'x')));
  CHECK_NOTHROW(find(std::string(100'000, '"')));
}

TEST_CASE("results are best first and say why they are there") {
  kb::FindOptions options;
  options.most = 5;
  const kb::FindAnswer answer = find("vinyl floor tile", options);
  REQUIRE(answer.results.size() == 5);
  for (std::size_t i = 1; i < answer.results.size(); ++i)
    CHECK(answer.results[i - 1].score >= answer.results[i].score);
  const kb::FindResult& best = answer.results.front();
  CHECK(best.article.id == "vinyl-floor-tile");
  CHECK(best.article.kind == "material");
  CHECK(joined(best.matched) == "name: Vinyl floor tile|floor|tile|vinyl|");
  CHECK(best.years == "1950 to 1985");
  CHECK(best.friability == "nonfriable");
  CHECK(!best.caution.empty());
  CHECK(best.caution.find('\n') == std::string::npos);
  options.most = 0;
  CHECK(find("tile", options).results.empty());
}

TEST_CASE("a year moves the materials of its time up and hides none") {
  const auto score = [](const kb::FindAnswer& answer, const std::string& id) {
    const std::size_t at = rank(answer, id);
    REQUIRE(at < answer.results.size());
    return answer.results[at].score;
  };
  kb::FindOptions all;
  all.most = 1000;
  kb::FindOptions in_1955 = all, in_2010 = all, in_1850 = all;
  in_1955.built = 1955;
  in_2010.built = 2010;
  in_1850.built = 1850;
  const std::string typed = "tile floor pipe cement ceiling";
  const kb::FindAnswer plain = find(typed, all), then = find(typed, in_1955),
                       late = find(typed, in_2010), early = find(typed, in_1850);
  CHECK(then.year == 1955);
  CHECK_FALSE(plain.year.has_value());
  CHECK(then.results.size() == plain.results.size());
  CHECK(late.results.size() == plain.results.size());
  CHECK(score(then, "vinyl-floor-tile") > score(plain, "vinyl-floor-tile"));
  CHECK(score(late, "vinyl-floor-tile") < score(plain, "vinyl-floor-tile"));
  CHECK(score(early, "vinyl-floor-tile") < score(plain, "vinyl-floor-tile"));
  // What has no years stays where it is.
  CHECK(score(late, "floors") == score(plain, "floors"));
}

TEST_CASE("a year is read from the typed words unless it was given") {
  struct Year {
    const char* typed;
    std::optional<int> year;
  };
  const Year cases[] = {{"tile 1955", 1955},
                        {"tile 1950s", 1950},
                        {"50s tile", 1950},
                        {"built 1961 or 1972", 1961},
                        {"tile", {}},
                        {"12 inch tile", {}},
                        {"9x9", {}},
                        {"tile 3000", {}},
                        {"tile 1799", {}},
                        {"1955x", 1955},
                        {"99999999999999999999", {}}};
  for (const auto& c : cases) {
    CAPTURE(std::string(c.typed));
    CHECK(find(c.typed).year == c.year);
  }
  kb::FindOptions options;
  options.built = 1930;
  CHECK(find("tile 1955", options).year == 1930);
}

TEST_CASE("filters keep one kind or one system and an unknown one keeps nothing") {
  kb::FindOptions options;
  options.most = 1000;
  options.kind = "caution";
  const kb::FindAnswer cautions = find("asbestos material", options);
  CHECK(cautions.results.size() > 3);
  for (const kb::FindResult& r : cautions.results) CHECK(r.article.kind == "caution");
  options.kind.clear();
  options.system = "warm-air-ducts";
  const kb::FindAnswer ducts = find("paper tape wrap duct tile", options);
  CHECK(rank(ducts, "duct-paper-wrap") < ducts.results.size());
  CHECK(rank(ducts, "warm-air-ducts") < ducts.results.size());
  CHECK(rank(ducts, "vinyl-floor-tile") == ducts.results.size());
  options.kind = "material";
  const kb::FindAnswer both = find("paper tape wrap duct tile", options);
  CHECK(rank(both, "duct-paper-wrap") < both.results.size());
  CHECK(rank(both, "warm-air-ducts") == both.results.size());
  for (const char* wrong : {"no-such-kind", "' OR 1=1 --", "\xFF"}) {
    CAPTURE(std::string(wrong));
    kb::FindOptions none;
    none.kind = wrong;
    CHECK(find("tile", none).results.empty());
    CHECK(find("tile", none).nearest.empty());
    none.kind.clear();
    none.system = wrong;
    CHECK(find("tile", none).results.empty());
  }
}
