// kb/articles.h and kb/html.h: articles as they stand in the database, for each reader.
#include "kb/articles.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "kb/html.h"
#include "tests/unit/corpus_for_tests.h"

namespace {

using namespace std::string_literals;
using Ids = std::vector<std::string>;

kb::Article article(const std::string& kind, std::vector<kb::Section> sections) {
  kb::Article a;
  a.id = "x";
  a.kind = kind;
  a.title = "A title";
  a.sections = std::move(sections);
  return a;
}

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("articles are listed once each, by kind and id") {
  const auto all = kb::list_articles(test_database());
  CHECK(all.size() > 20);
  const Ids kinds{"material", "system", "era",       "caution",
                  "rule",     "basics", "lookalike", "homeowner"};
  const auto place = [&](const kb::ArticleInfo& a) {
    return std::pair(std::find(kinds.begin(), kinds.end(), a.kind) - kinds.begin(), a.id);
  };
  for (std::size_t i = 1; i < all.size(); ++i) {
    CAPTURE(all[i].id);
    CHECK(place(all[i - 1]) < place(all[i]));
  }
  const auto rules = kb::list_articles(test_database(), "rule");
  CHECK(!rules.empty());
  CHECK(rules.size() < all.size());
  for (const kb::ArticleInfo& a : rules) CHECK(a.kind == "rule");
  for (const char* wrong : {"rules", "RULE", "' OR ''='", " "}) {
    CAPTURE(std::string(wrong));
    CHECK(kb::list_articles(test_database(), wrong).empty());
  }
}

TEST_CASE("an article is loaded by its id and by nothing else") {
  for (const kb::ArticleInfo& info : kb::list_articles(test_database())) {
    CAPTURE(info.id);
    const auto a = kb::load_article(test_database(), info.id);
    REQUIRE(a.has_value());
    CHECK(a->key == info.key);
    CHECK(a->kind == info.kind);
    CHECK(a->title == info.title);
    CHECK(!a->sections.empty());
    CHECK(!kb::to_markdown(*a, kb::Reader::everyone).empty());
    CHECK(!kb::one_line_caution(*a).empty());
  }
  for (const std::string& id :
       {""s, "no-such"s, "PIPE-LAGGING"s, "pipe-lagging "s, "pipe%"s, "pipe-lagging\0"s}) {
    CAPTURE(id);
    CHECK_FALSE(kb::load_article(test_database(), id).has_value());
  }
}

TEST_CASE("a mistyped id has its nearest ids, and what is far has none") {
  const auto nearest = [](const std::string& typed) {
    return kb::nearest_ids(test_database(), typed, 3);
  };
  for (const char* typed :
       {"pipe-laging", "Pipe Lagging", "pipe_lagging", "pip-lagging", "pipe-lagging"}) {
    CAPTURE(std::string(typed));
    REQUIRE(!nearest(typed).empty());
    CHECK(nearest(typed).front() == "pipe-lagging");
  }
  const Ids begun = nearest("vermiculite");
  CHECK(std::find(begun.begin(), begun.end(), "vermiculite-fill") != begun.end());
  CHECK(kb::nearest_ids(test_database(), "siding", 1).size() == 1);
  CHECK(kb::nearest_ids(test_database(), "siding", 0).empty());
  for (const std::string& typed : {""s, "x"s, "qqqqqqqqqqqq"s, "\xFF"s, std::string(10'000, 'q')}) {
    CAPTURE(typed.substr(0, 20));
    CHECK(nearest(typed).empty());
  }
}

TEST_CASE("each reader gets the sections meant for him or her") {
  const kb::Article a = article("material", {{2, "In short", "Short."},
                                             {2, "Report wording", "Base."},
                                             {3, "Damaged", "Torn."},
                                             {2, "For the homeowner", "Dear owner."},
                                             {2, "Look also", ""}});
  CHECK(
      kb::to_markdown(a, kb::Reader::everyone) ==
      "# A title\n\n## In short\n\nShort.\n\n## Report wording\n\nBase.\n\n### Damaged\n\nTorn.\n\n"
      "## For the homeowner\n\nDear owner.\n\n## Look also\n\n");
  CHECK(kb::to_markdown(a, kb::Reader::inspector) ==
        "# A title\n\n## In short\n\nShort.\n\n## Report wording\n\nBase.\n\n### "
        "Damaged\n\nTorn.\n\n## Look also\n\n");
  CHECK(kb::to_markdown(a, kb::Reader::homeowner) ==
        "# A title\n\n## For the homeowner\n\nDear owner.\n\n");
  CHECK(kb::to_markdown(a, kb::Reader::report) ==
        "# A title\n\n## Report wording\n\nBase.\n\n### Damaged\n\nTorn.\n\n");
  const kb::Article rule = article("rule", {{2, "In short", "Short."}});
  CHECK(kb::to_markdown(rule, kb::Reader::homeowner).empty());
  CHECK(kb::to_markdown(rule, kb::Reader::report).empty());
  CHECK(kb::article_html(rule, kb::Reader::report, "1").empty());
  CHECK(kb::to_markdown(article("rule", {}), kb::Reader::everyone).empty());
}

TEST_CASE("a drawing stands below the text of How it looks, for whoever sees that section") {
  kb::Article a = article("material", {{2, "In short", "Short."},
                                       {2, "How it looks", "Gray."},
                                       {3, "Closer", "Hairs."},
                                       {2, "For the homeowner", "Dear owner."}});
  a.drawing = R"(<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 2 2" role="img"><title>A &amp; B</title><desc>Gray  on
white.</desc><path fill="none" stroke="currentColor" d="M0 0"/></svg>)";
  const auto parts = kb::to_markdown_around_drawing(a, kb::Reader::everyone);
  CHECK(parts.shown);
  CHECK(parts.above == "# A title\n\n## In short\n\nShort.\n\n## How it looks\n\nGray.\n\n### Closer\n\nHairs.\n\n");
  CHECK(parts.below == "## For the homeowner\n\nDear owner.\n\n");
  CHECK(kb::to_markdown(a, kb::Reader::everyone) == parts.above + parts.below);
  const std::string html = kb::article_html(a, kb::Reader::inspector, "1");
  CHECK(holds(html, "<p>Hairs.</p>\n<figure>\n<svg viewBox=\"0 0 2 2\" role=\"img\">"));
  CHECK(holds(html, "</svg>\n<figcaption>A &amp; B</figcaption>\n</figure>\n"));
  CHECK_FALSE(holds(html, "http:"));
  CHECK_FALSE(kb::to_markdown_around_drawing(a, kb::Reader::homeowner).shown);
  CHECK_FALSE(holds(kb::article_html(a, kb::Reader::homeowner, "1"), "<svg"));
  // Last section of the page.
  a.sections.resize(3);
  CHECK(kb::to_markdown_around_drawing(a, kb::Reader::everyone).shown);
  // What is not in the closed form is not shown.
  a.drawing = "<svg onload=\"x()\"/>";
  CHECK_FALSE(holds(kb::article_html(a, kb::Reader::everyone, "1"), "onload"));
  CHECK(kb::figure("").empty());
}

TEST_CASE("the one-line caution is the sentence that tells what to do") {
  const kb::Section report{2, "Report wording",
                           "It may be suspect.\nIt is by 9 in. tile. Leave it\nundisturbed."};
  const kb::Section steps{2, "Do today", "1. Leave it alone.\n2. Call."};
  const kb::Section brief{2, "In short", "Look only. Then write."};
  struct Case {
    kb::Article article;
    std::string line;
  };
  const Case cases[] = {
      {article("material", {brief, report}), "Leave it undisturbed."},
      {article("caution", {report}), "It may be suspect."},
      {article("homeowner", {steps}), "Leave it alone."},
      {article("homeowner", {{2, "Do today", "- Stay out."}}), "Stay out."},
      {article("basics", {brief}), "Look only."},
      {article("rule", {{3, "In short", "Deeper."}}), ""},
      {article("material", {}), ""},
      {article("homeowner", {}), ""},
  };
  for (const auto& c : cases) {
    CAPTURE(c.line);
    CHECK(kb::one_line_caution(c.article) == c.line);
  }
}

TEST_CASE("HTML signs in a text are shown, not obeyed") {
  CHECK(kb::escape_html("") == "");
  CHECK(kb::escape_html("a < b & \"c\" > d") == "a &lt; b &amp; &quot;c&quot; &gt; d");
  CHECK(kb::escape_html("&amp;") == "&amp;amp;");
}

TEST_CASE("raw HTML, scripts and unsafe links in an article are dropped from its page") {
  kb::Article a = article(
      "basics",
      {{2, "In short",
        "Stay *out*.\n\n<script>alert(1)</script>\n\n<img src=x onerror=alert(2)>\n\n"
        "Look <b onclick=\"x()\">here</b> [a](javascript:alert(3)) [b](JaVaScript:x) "
        "[c](data:text/html,x) [d](vbscript:x) [e](file:///x)\n\n<iframe src=\"//x\"></iframe>"},
       {2, "<style>h1{}</style>", "End."}});
  a.title = "A </title><script>bad()</script>";
  const std::string html = kb::article_html(a, kb::Reader::everyone, "1<2");
  CHECK(holds(html, "<em>out</em>"));
  CHECK(holds(html, "<title>A &lt;/title&gt;&lt;script&gt;bad()&lt;/script&gt;</title>"));
  CHECK(holds(html, "letbe corpus 1&lt;2."));
  for (const char* bad : {"<script", "<img", "<iframe", "<b ", "onerror", "onclick", "javascript:",
                          "JaVaScript:", "data:", "vbscript:", "file:", "<style>h1{}"}) {
    CAPTURE(std::string(bad));
    CHECK_FALSE(holds(html, bad));
  }
}

TEST_CASE("every article is a whole page without a script or an outside reference") {
  for (const kb::ArticleInfo& info : kb::list_articles(test_database())) {
    CAPTURE(info.id);
    const std::string html =
        kb::article_html(*kb::load_article(test_database(), info.id), kb::Reader::everyone, "1");
    CHECK(html.starts_with("<!DOCTYPE html>\n<html lang=\"en\">"));
    CHECK(html.ends_with("</html>\n"));
    CHECK(holds(html, "Visual only, not an asbestos survey."));
    for (const char* outside :
         {"<script", "<link", "<img", "<iframe", "src=", "@import", "url(", "http:", "https:"}) {
      CAPTURE(std::string(outside));
      CHECK_FALSE(holds(html, outside));
    }
  }
}
