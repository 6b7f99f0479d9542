// Drawings: the closed form that is shown (kb/drawing.h), and what letbe-index says of a file.
#include "kb/drawing.h"

#include <doctest/doctest.h>

#include <filesystem>
#include <string>

#include "indexer/drawing_checks.h"
#include "kb/articles.h"
#include "tests/unit/corpus_for_tests.h"
#include "tests/unit/pages_for_tests.h"

namespace {

std::string good() { return bytes_of_test_file("lint/KB056-good.svg"); }

// What letbe-index says of `svg`, and whether the program would show it.
std::string said_of(const std::string& svg) {
  indexer::Problems problems;
  const auto read = indexer::read_drawing("x.svg", svg, "lint-material", problems);
  CHECK(read.has_value() == problems.empty());
  // Refused by the program, refused by letbe-index.
  if (!kb::text_of_drawing(svg)) CHECK_FALSE(problems.empty());
  return report(problems.sorted());
}

std::string without(const std::string& part, const std::string& instead = {}) { return said_of(replaced(good(), part, instead)); }

}  // namespace

TEST_CASE("a drawing says its title and description in one line each") {
  const auto told = kb::text_of_drawing(good());
  REQUIRE(told.has_value());
  CHECK(told->title == "Gray pipe cover");
  CHECK(told->desc == "A pipe under a gray cover. It may contain asbestos.");
  CHECK(kb::text_of_drawing(replaced(good(), "Gray pipe cover", "\n A &lt;b&gt; &amp;\n\n &quot;c&apos; "))->title == "A <b> & \"c'");
  CHECK(kb::drawing_html(good()).starts_with("<svg viewBox="));
}

TEST_CASE("what XML and HTML read in different ways is not shown") {
  for (const auto& change : std::vector<std::pair<std::string, std::string>>{
           {"</g>", "<!--><script>x()</script>--></g>"},
           {"</g>", "<![CDATA[<script>x()</script>]]></g>"},
           {"</g>", "<?x y?></g>"},
           {"<svg", "<!DOCTYPE svg><svg"},
           {"<svg", "<?xml version=\"1.0\"?><svg"},
           {"</svg>", "</svg><svg></svg>"},
           {"</svg>", ""},
           {"</svg>", "</svg>x"},
           {"<g ", "<svg "},
           {"</g>", "</svg>"},
           {"Gray pipe cover", "<b>Gray</b>"},
           {"Gray pipe cover", "<path/>"},
           {"Gray pipe cover", "&x;"},
           {"Gray pipe cover", "&#60;script>"},
           {"r=\"15\"", "r='15'"},
           {"r=\"15\"", "r=15"},
           {"r=\"15\"", "r=\"15\"onload=\"x()\""},
           {"r=\"15\"", "onload=\"x()\""},
           {"r=\"15\"", "href=\"x\""},
           {"r=\"15\"", "xlink:href=\"x\""},
           {"r=\"15\"", "style=\"x\""},
           {"r=\"15\"", "class=\"x\""},
           {"r=\"15\"", "transform=\"url(#x)\""},
           {"r=\"15\"", "transform=\"u\\72l(#x)\""},
           {"r=\"15\"", "id=\"javascript:x\""},
           {"r=\"15\"", "stroke=\"url(#x)\""},
           {"r=\"15\"", "stroke=\"red\""},
           {"r=\"15\"", "xmlns=\"http://www.w3.org/1999/xhtml\""},
           {"circle", "script"},
           {"circle", "foreignObject"},
           {"circle", "image"},
           {"circle", "use"},
           {"circle", "animate"},
           {"circle", "a"},
           {"circle", "style"},
           {"circle", "CIRCLE"},
           {"circle", "svg:circle"},
       }) {
    CAPTURE(change.second);
    const std::string svg = replaced(good(), change.first, change.second);
    CHECK_FALSE(kb::text_of_drawing(svg).has_value());
    CHECK(kb::drawing_html(svg).empty());
    CHECK_FALSE(said_of(svg).empty());
  }
  for (const std::string svg : {"", " ", "<", "<svg", "<svg>", "</svg>", "<g/>", "x", "<svg/>x", "<svg \xFF/>"}) {
    CAPTURE(svg);
    CHECK_FALSE(kb::text_of_drawing(svg).has_value());
    CHECK_FALSE(said_of(svg).empty());
  }
}

TEST_CASE("each fault of a drawing says what is wrong and what to write instead") {
  CHECK(said_of(good()).empty());
  indexer::Problems none;
  CHECK(indexer::read_drawing("x.svg", "\xEF\xBB\xBF" + good(), "lint-material", none) == good().substr(0, good().size() - 1));
  struct Case {
    const char* from;
    const char* to;
    const char* message;
  };
  const Case cases[] = {
      {"</g>", "", "x.svg:9: no well-formed XML (mismatched tag); close each element and quote each value [KB053]\n"},
      {"r=\"15\"", "r=\"15\" r=\"15\"", "x.svg:6: no well-formed XML (duplicate attribute); close each element and quote each value [KB053]\n"},
      {"<svg", "<!DOCTYPE svg [<!ENTITY a \"b\">]><svg", "x.svg:1: a document type; take it out, a drawing holds elements and text alone [KB053]\n"},
      {"r=\"15\"", "r='15'",
       "x.svg:1: a form of XML that letbe does not read; write each value in double quotes, and of entities only &amp; &lt; &gt; &quot; &apos; "
       "[KB053]\n"},
      {" viewBox=\"0 0 320 200\"", " viewBox=\"0 0 320\"",
       "x.svg:1: the svg element has no viewBox of four numbers; write viewBox=\"0 0 WIDTH HEIGHT\" [KB054]\n"},
      {" xmlns=\"http://www.w3.org/2000/svg\"", "",
       "x.svg:1: the svg element names no namespace; write xmlns=\"http://www.w3.org/2000/svg\" [KB054]\n"},
      {"<title id=\"t-lint-material\">Gray pipe cover</title>\n", "",
       "x.svg:1: no title with words; write <title> right below the svg element, for those who do not see the drawing [KB055]\n"},
      {"<path ", "<title>More</title><path ", "x.svg:5: a title that is not the drawing's one; write it once, right below the svg element [KB055]\n"},
      {"<circle ", "<cirle ",
       "x.svg:6: element 'cirle'; did you mean 'circle'? [KB056]\n"},
      {"r=\"15\"", "r=\"15\" strok-width=\"1\"", "x.svg:6: attribute 'strok-width'; did you mean 'stroke-width'? [KB057]\n"},
      {"r=\"15\"", "r=\"15\" role=\"img\"",
       "x.svg:6: attribute 'role' inside of the drawing; it belongs to the svg element alone [KB057]\n"},
      {"id=\"t-lint-material\"", "id=\"title\"",
       "x.svg:2: id 'title' could meet that of another drawing; end it in '-lint-material' [KB057]\n"},
      {"r=\"15\"", "r=\"15\" transform=\"url(#x)\"",
       "x.svg:6: transform 'url(#x)' is no plain value; write numbers and words, and no reference [KB057]\n"},
      {" fill=\"currentColor\">a seam", ">a seam",
       "x.svg:8: no fill for this 'text', which is black then, on a dark page too; write fill=\"none\" or fill=\"currentColor\" here or around it "
       "[KB058]\n"},
      {"fill=\"none\"", "fill=\"white\"",
       "x.svg:4: fill 'white'; write currentColor or none, which follow the page into light and dark [KB058]\n"},
  };
  for (const Case& c : cases) {
    CAPTURE(c.to);
    CHECK(without(c.from, c.to) == std::string(c.message));
  }
  CHECK(without("A pipe", "A p\xFFipe").find("[KB020]") != std::string::npos);
}

TEST_CASE("a drawing of exactly 6000 bytes is read, one byte more is not") {
  std::string svg = good();
  svg.insert(svg.find("M20 90"), std::string(kb::kLargestDrawing - svg.size(), ' '));
  CHECK(said_of(svg).empty());
  svg.insert(svg.find("M20 90"), " ");
  CHECK(said_of(svg) == "x.svg:1: the drawing has 6001 bytes; keep it within 6000, with fewer lines or shorter numbers [KB052]\n");
  CHECK_FALSE(kb::text_of_drawing(svg).has_value());
}

TEST_CASE("a drawing stands beside a page that can show it, and a later folder's stands for it") {
  const auto found = [](const std::string& relative) { return report(problems_of({base_folder({source("a", relative, good())})})); };
  CHECK(found("materials/lint-material.svg").empty());
  CHECK(found("materials/lint-materal.svg") ==
        "a/materials/lint-materal.svg:1: no page 'materials/lint-materal.md' to show this drawing; did you mean 'lint-material'? [KB051]\n");
  CHECK(found("lookalikes/lint-material.svg") ==
        "a/lookalikes/lint-material.svg:1: no page 'lookalikes/lint-material.md' to show this drawing; its page is in 'materials', move it there [KB051]\n");
  CHECK(found("rules/lint-rule.svg").find("a page in 'rules' has no section 'How it looks' to show it, take it out [KB051]\n") != std::string::npos);
  const auto over = [](const std::string& svg) {
    return indexer::Sources{base_folder({source("a", "materials/lint-material.svg", good())}), {"b", {source("b", "materials/lint-material.svg", svg)}}};
  };
  const indexer::Sources sources = over(replaced(good(), "Gray pipe cover", "Ours"));
  indexer::Problems problems;
  const indexer::Corpus corpus = indexer::assemble(sources, problems);
  indexer::PageReader reader(corpus, problems);
  const auto page = reader.next();
  REQUIRE(page.has_value());
  CHECK(page->id == "lint-material");
  CHECK(kb::text_of_drawing(page->drawing)->title == "Ours");
  CHECK(report(problems.sorted()).empty());
  CHECK(report(problems_of(over(replaced(good(), "<g ", "<h ")))).find("b/materials/lint-material.svg:4: element 'h'; ") != std::string::npos);
  // What it says is held to the house style.
  CHECK(report(problems_of(over(replaced(good(), "It may contain asbestos.", "It is harmless."))))
            .find("b/materials/lint-material.svg:1: 'harmless'") == 0);
}

TEST_CASE("the drawings of the articles are in the database, each in its closed form") {
  std::size_t files = 0, drawn = 0;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(LETBE_SOURCE_DIR "/articles")) files += entry.path().extension() == ".svg";
  for (const kb::ArticleInfo& info : kb::list_articles(test_database())) {
    const auto svg = kb::load_drawing(test_database(), info.id);
    if (!svg) continue;
    ++drawn;
    CAPTURE(info.id);
    const auto told = kb::text_of_drawing(*svg);
    REQUIRE(told.has_value());
    CHECK(told->desc.find("may contain") != std::string::npos);
    CHECK(kb::load_article(test_database(), info.id)->drawing == *svg);
  }
  CHECK(drawn == files);
  CHECK(drawn > 0);
  CHECK_FALSE(kb::load_drawing(test_database(), "no-such").has_value());
}
