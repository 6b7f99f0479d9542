// kb/chart.h: when each material was used.
#include "kb/chart.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <map>

#include "kb/articles.h"
#include "kb/limits.h"
#include "tests/unit/corpus_for_tests.h"

namespace {

bool holds(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

std::size_t count(const std::string& text, const std::string& part) {
  std::size_t out = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++out;
  return out;
}

}  // namespace

TEST_CASE("a chart has each material once, under its first system, the earliest first") {
  const kb::Chart chart = kb::make_chart(test_database(), "", std::nullopt);
  std::map<std::string, int> times;
  for (const kb::ChartGroup& g : chart.groups) {
    CHECK_FALSE(g.title.empty());
    for (const kb::Usage& m : g.materials) {
      ++times[m.id];
      CHECK(m.systems.front() == g.id);
      CHECK(m.from >= chart.first);
      CHECK(m.to <= chart.last);
    }
    CHECK(std::is_sorted(g.materials.begin(), g.materials.end(), [](const auto& a, const auto& b) { return a.from < b.from; }));
  }
  CHECK(times.size() == kb::list_articles(test_database(), "material").size());
  for (const auto& entry : times) CHECK_MESSAGE(entry.second == 1, entry.first);
  CHECK(chart.first % 10 == 0);
  CHECK(chart.last % 10 == 0);
}

TEST_CASE("one system has all that belongs to it") {
  const kb::Chart chart = kb::make_chart(test_database(), "attic", 1956);
  REQUIRE(chart.groups.size() == 1);
  const auto& list = chart.groups[0].materials;
  CHECK(std::any_of(list.begin(), list.end(), [](const auto& m) { return m.id == "pipe-lagging"; }));
  CHECK(kb::make_chart(test_database(), "no-such-system", 1956).groups.empty());
}

TEST_CASE("the scale reaches to the house's year") {
  CHECK(kb::make_chart(test_database(), "", 1803).first == 1800);
  CHECK(kb::make_chart(test_database(), "", 2100).last == 2100);
}

TEST_CASE("the picture speaks to those who do not see it, and holds no script") {
  const kb::Chart chart = kb::make_chart(test_database(), "", 1956);
  const std::string svg = kb::chart_svg(chart);
  CHECK(holds(svg, "role=\"img\""));
  CHECK(holds(svg, "aria-labelledby=\"letbe-chart-title letbe-chart-desc\""));
  CHECK(count(svg, "<title ") == 1);
  CHECK(count(svg, "<desc ") == 1);
  CHECK(holds(svg, "Paper wrap on ducts and register boots 1910 to 1980, soft end"));
  CHECK(holds(svg, "currentColor"));
  CHECK(holds(svg, "stroke-dasharray"));
  CHECK(holds(svg, ">the house, 1956</text>"));
  CHECK(holds(svg, kb::kStandingLimits));
  CHECK_FALSE(holds(svg, "<script"));
  CHECK_FALSE(holds(svg, "href"));
  std::size_t materials = 0;
  for (const kb::ChartGroup& g : chart.groups) materials += g.materials.size();
  CHECK(count(svg, "class=\"bar\"") == materials + 1);  // And the legend's.
  CHECK_FALSE(holds(kb::chart_svg(kb::make_chart(test_database(), "", std::nullopt)), "class=\"house\""));
}

TEST_CASE("the table tells how a house's year fits only when there is one") {
  const std::string with = kb::chart_markdown(kb::make_chart(test_database(), "floors", 1956));
  CHECK(holds(with, "| Material | From | To | 1956 |"));
  CHECK(holds(with, "| Vinyl floor tile | 1950 | 1985, soft | likely |"));
  CHECK(holds(with, kb::kStandingLimits));
  const std::string without = kb::chart_markdown(kb::make_chart(test_database(), "floors", std::nullopt));
  CHECK(holds(without, "| Vinyl floor tile | 1950 | 1985, soft |\n"));
}
