// kb/json_text.h: the documents that other programs rely on.
#include "kb/json_text.h"

#include <doctest/doctest.h>

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "kb/error.h"
#include "tests/unit/corpus_for_tests.h"

namespace {

using namespace std::string_literals;
using Json = nlohmann::ordered_json;

Json note(const std::string& text, std::optional<int> built = std::nullopt) {
  kb::AttachOptions options;
  options.read.built = built;
  return Json::parse(kb::note_json(kb::attach(text, test_knowledge(), options), test_knowledge(),
                                   kb::JsonForm::one_line));
}

std::vector<std::string> keys(const Json& object) {
  std::vector<std::string> out;
  for (const auto& [key, value] : object.items()) out.push_back(key);
  return out;
}

using Keys = std::vector<std::string>;

}  // namespace

TEST_CASE("a note's document has the agreed members") {
  const std::string text =
      "CRAWL SPACE\n- Pipe lagging, torn.\n- No vermiculite seen. It is safe.\n";
  const Json json = note(text, 1950);
  CHECK(keys(json) == Keys{"schema", "observations", "remarks", "advice", "built", "standard"});
  CHECK(json["schema"] == 1);
  CHECK(json["built"] == 1950);
  CHECK(json["advice"] == "evaluate");
  REQUIRE(json["observations"].size() == 2);
  const Json& first = json["observations"][0];
  CHECK(keys(first) == Keys{"text", "span", "materials", "left_out", "advice"});
  CHECK(first["text"] == "Pipe lagging, torn.");
  CHECK(first["span"] == Json::array({14, 33}));
  REQUIRE(first["materials"].size() == 1);
  const Json& material = first["materials"][0];
  for (const char* key : {"id", "title", "or", "certainty", "conditions", "severity", "tested",
                          "period", "advice", "evidence", "attached"}) {
    CAPTURE(std::string(key));
    CHECK(material.contains(key));
  }
  CHECK(material["id"] == "pipe-lagging");
  CHECK(material["or"] == Json::array());
  CHECK(material["certainty"] == "named");
  CHECK(material["conditions"] == Json::array({"damaged"}));
  CHECK(material["tested"] == nullptr);
  CHECK(material["period"] == "within");
  CHECK(material["evidence"][0] == Json{{"span", {14, 26}}, {"says", "name"}});
  CHECK(keys(material["attached"][0]) == Keys{"id", "text"});
  const Json& second = json["observations"][1];
  CHECK(second["materials"] == Json::array());
  REQUIRE(second["left_out"].size() == 1);
  CHECK(keys(second["left_out"][0]) == Keys{"id", "because", "evidence"});
  CHECK(second["left_out"][0]["id"] == "vermiculite-fill");
  CHECK(second["left_out"][0]["because"] == "denied");
  CHECK(second["advice"] == "none");
  REQUIRE(!json["remarks"].empty());
  CHECK(keys(json["remarks"][0]) == Keys{"span", "text"});
}

TEST_CASE("a note without a finding still lists what was read") {
  const Json empty = note("");
  CHECK(empty == Json{{"schema", 1},
                      {"observations", Json::array()},
                      {"remarks", Json::array()},
                      {"advice", "none"},
                      {"built", nullptr},
                      {"standard", nullptr}});
  const Json denied = note("No vermiculite seen.");
  CHECK(denied["advice"] == "none");
  CHECK(denied["standard"] == nullptr);
  CHECK(denied["observations"].size() == 1);
}

TEST_CASE("bytes that are no text show as the replacement sign and spans count the bytes given") {
  const std::string text =
      "\xEF\xBB\xBF"
      "caf\xE9: pipe lagging\0 torn"s;
  const Json json = note(text);
  REQUIRE(json["observations"].size() == 1);
  CHECK(json["observations"][0]["text"] == "caf\uFFFD: pipe lagging\0 torn"s);
  CHECK(json["observations"][0]["span"] == Json::array({3, text.size()}));
  CHECK(json["observations"][0]["materials"][0]["evidence"][0]["span"] == Json::array({9, 21}));
}

TEST_CASE("one form is one line and both say the same") {
  const kb::Attachment a = kb::attach("Pipe lagging,\ntorn.", test_knowledge(), {});
  const std::string line = kb::note_json(a, test_knowledge(), kb::JsonForm::one_line);
  const std::string pretty = kb::note_json(a, test_knowledge(), kb::JsonForm::pretty);
  CHECK(line.find('\n') == line.size() - 1);
  CHECK(pretty.starts_with("{\n  \"schema\": 1,"));
  CHECK(Json::parse(line) == Json::parse(pretty));
}

TEST_CASE("an answer's document has the agreed members") {
  kb::FindAnswer answer;
  answer.query = "caf\xE9 \"tile\"";
  Json json = Json::parse(kb::find_json(answer));
  CHECK(keys(json) == Keys{"schema", "query", "understood", "results", "nearest"});
  CHECK(json["query"] == "caf\uFFFD \"tile\"");
  CHECK(json["understood"]["year"] == nullptr);
  CHECK(json["understood"]["corrections"] == Json::array());
  CHECK(json["results"] == Json::array());
  CHECK(json["nearest"] == Json::array());
  answer.year = 1955;
  answer.corrections = {{"tyle", "tile"}};
  kb::FindResult result;
  result.article = {3, "vinyl-floor-tile", "material", "Vinyl floor tile"};
  result.score = 1.5;
  result.matched = {"tile"};
  answer.results = {result};
  json = Json::parse(kb::find_json(answer));
  CHECK(json["understood"]["year"] == 1955);
  CHECK(json["understood"]["corrections"] == Json::array({{{"from", "tyle"}, {"to", "tile"}}}));
  const Json& r = json["results"][0];
  CHECK(r["id"] == "vinyl-floor-tile");
  CHECK(r["kind"] == "material");
  CHECK(r["title"] == "Vinyl floor tile");
  CHECK(r["score"] == 1.5);
  CHECK(r["matched"] == Json::array({"tile"}));
  CHECK(r["years"] == nullptr);
  CHECK(r["friability"] == nullptr);
}

TEST_CASE("articles, lists and the program tell of themselves") {
  const auto article = kb::load_article(test_database(), "pipe-lagging");
  REQUIRE(article.has_value());
  const Json json = Json::parse(kb::article_json(*article));
  CHECK(keys(json) == Keys{"schema", "id", "kind", "title", "front", "sections", "drawing"});
  CHECK(json["front"]["id"] == "pipe-lagging");
  CHECK(json["sections"].size() == article->sections.size());
  CHECK(keys(json["sections"][0]) == Keys{"level", "heading", "markdown"});
  kb::Article drawn = *article;
  drawn.drawing = "<svg/>";
  CHECK(Json::parse(kb::article_json(drawn))["drawing"] == "<svg/>");
  drawn.drawing.clear();
  CHECK(Json::parse(kb::article_json(drawn))["drawing"].is_null());
  CHECK(Json::parse(kb::list_json({{1, "a", "era", "A"}})) ==
        Json{{"schema", 1},
             {"articles", {{{"id", "a"}, {"kind", "era"}, {"title", "A"}}}},
             {"unwritten", Json::array()}});
  kb::About about;
  about.version = "1";
  about.articles = 3;
  about.limits = {"one"};
  const Json told = Json::parse(kb::about_json(about));
  CHECK(told["schema"] == 1);
  CHECK(told["version"] == "1");
  CHECK(told["articles"] == 3);
  CHECK(told["planned"] == 3);
  CHECK(told["limits"] == Json::array({"one"}));
  const Json rows = Json::parse(kb::advice_json(test_knowledge()))["rows"];
  REQUIRE(rows.size() == test_knowledge().advice_rows.size());
  CHECK(rows.back()["advice"] == "leave");
  CHECK(rows.back()["when"] == Json::object());
}

TEST_CASE("a JSON line gives its note or says what is wrong with it") {
  struct Line {
    std::string line, note, problem;
  };
  const Line cases[] = {
      {"\"a note\"", "a note", ""},
      {"{\"note\": \"a\\nb\", \"x\": 1}", "a\nb", ""},
      {" {\"note\":\"\"} ", "", ""},
      {"\"\\u00e9\\u0000\"", "é\0"s, ""},
      {"", "", "this line is not JSON; give one JSON text or object a line"},
      {"a note", "", "this line is not JSON; give one JSON text or object a line"},
      {"{\"note\": \"a\"", "", "this line is not JSON; give one JSON text or object a line"},
      {"\"caf\xE9\"", "", "this line is not JSON; give one JSON text or object a line"},
      {"\"a\" \"b\"", "", "this line is not JSON; give one JSON text or object a line"},
      {"[\"a\"]", "", "this line is neither a JSON text nor an object"},
      {"7", "", "this line is neither a JSON text nor an object"},
      {"null", "", "this line is neither a JSON text nor an object"},
      {"{\"text\": \"a\"}", "",
       "this line has no text member 'note'; name the right one with --column"},
      {"{\"note\": 7}", "",
       "this line has no text member 'note'; name the right one with --column"},
      {"{}", "", "this line has no text member 'note'; name the right one with --column"},
      {std::string(100'000, '['), "", "this line is not JSON; give one JSON text or object a line"},
  };
  for (const auto& c : cases) {
    CAPTURE(c.line.substr(0, 60));
    std::string read, problem;
    try {
      read = kb::row_of_json_line(c.line, "note", "built").note;
    } catch (const kb::Error& e) {
      problem = e.what();
    }
    CHECK(read == c.note);
    CHECK(problem == c.problem);
  }
  CHECK(kb::row_of_json_line("{\"text\": \"a\", \"built\": 1950}", "text", "built").built == "1950");
}
