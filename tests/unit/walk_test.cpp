// kb/walk.h and kb/walk_text.h: what to look for in a house of some year, place by place.
#include "kb/walk.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <map>
#include <set>

#include "kb/articles.h"
#include "kb/limits.h"
#include "kb/walk_text.h"
#include "tests/unit/corpus_for_tests.h"

namespace {

using Ids = std::vector<std::string>;

bool holds(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }
bool holds(const Ids& list, const std::string& id) { return std::find(list.begin(), list.end(), id) != list.end(); }

// How often each material stands in full or as older stock.
std::map<std::string, int> told(const kb::Walk& walk) {
  std::map<std::string, int> out;
  for (const kb::WalkFirst& f : walk.first) ++out[f.material.id];
  for (const kb::WalkPlace& p : walk.places) {
    for (const kb::WalkItem& i : p.items) ++out[i.material.id];
    for (const std::string& id : p.reuse) ++out[id];
  }
  return out;
}

kb::Walk walk_of(int built, Ids systems = {}, Ids seen = {}) { return kb::plan_walk(test_database(), {built, std::move(systems), std::move(seen)}); }

std::string main_stop(const kb::Walk& walk, const std::string& id) {
  for (const kb::WalkPlace& p : walk.places)
    for (const kb::WalkItem& i : p.items)
      if (i.material.id == id) return p.stop.id;
  return {};
}

}  // namespace

TEST_CASE("how well a house's year fits, at each edge") {
  kb::Usage m;
  m.from = 1920;
  m.to = 1980;
  struct Case {
    int built;
    kb::Fit fit;
  };
  const Case cases[] = {{1909, kb::Fit::later_work}, {1910, kb::Fit::possible}, {1919, kb::Fit::possible}, {1920, kb::Fit::likely},
                        {1980, kb::Fit::likely},     {1981, kb::Fit::possible}, {1990, kb::Fit::possible}, {1991, kb::Fit::reuse}};
  for (const Case& c : cases) {
    CAPTURE(c.built);
    CHECK(kb::fit_of(m, c.built, 10) == c.fit);
  }
}

TEST_CASE("a first sentence ends at a full stop before a blank") {
  CHECK(kb::first_sentence("") == "");
  CHECK(kb::first_sentence("One line") == "One line");
  CHECK(kb::first_sentence("About 0.5 inch\nthick. And more.") == "About 0.5 inch thick.");
}

TEST_CASE("the stop with the most words of a place has it, whole words only") {
  kb::WalkWords words;
  words.stops = {{"roof", "Roof", "", {"roof", "eaves"}, {"roof-covering"}, {}},
                 {"garage", "Garage", "", {"garage", "garage roof"}, {}, {"brake-lining"}},
                 {"rooms", "Rooms", "", {"hall"}, {"floors"}, {}}};
  const auto stops = [&](const std::string& id, Ids places, Ids systems) {
    kb::Usage u;
    u.id = id;
    u.places = std::move(places);
    u.systems = std::move(systems);
    return kb::stops_of(u, words);
  };
  using Numbers = std::vector<std::size_t>;
  CHECK(stops("x", {"garage roof"}, {}) == Numbers{1});
  CHECK(stops("x", {"roof over the garage"}, {}) == Numbers{0});
  CHECK(stops("x", {"hall", "eaves", "garage"}, {"roof-covering"}) == Numbers{2, 0, 1});
  CHECK(stops("x", {"hallway", "roofing"}, {"floors"}) == Numbers{2});
  CHECK(stops("x", {"moon"}, {"unknown"}) == Numbers{});
  CHECK(stops("brake-lining", {"hall"}, {"floors"}) == Numbers{1, 2});
}

TEST_CASE("every material stands once at one place, in any year") {
  const auto all = kb::load_usage(test_database());
  CHECK(all.size() == kb::list_articles(test_database(), "material").size());
  for (const int built : {1700, 1890, 1925, 1955, 1975, 1995, 2020}) {
    CAPTURE(built);
    const auto count = told(walk_of(built));
    CHECK(count.size() == all.size());
    for (const auto& entry : count) {
      const auto& id = entry.first;
      const auto& times = entry.second;
      CAPTURE(id);
      CHECK(times == 1);
    }
  }
}

TEST_CASE("places come in walking order, and what is known of each material leads there") {
  const kb::Walk walk = walk_of(1955);
  Ids order;
  for (const kb::WalkPlace& p : walk.places) {
    order.push_back(p.stop.id);
    CHECK_FALSE(p.stop.protect.empty());
    for (const kb::WalkItem& i : p.items) {
      CAPTURE(i.material.id);
      CHECK(i.material.look.size() > 15);
      CHECK_FALSE(holds(p.also, i.material.id));
      CHECK(i.with.size() <= walk.words.most_with);
    }
  }
  CHECK(order == Ids{"yard", "roof", "exterior", "garage", "basement", "rooms", "attic"});
  const std::pair<const char*, const char*> known[] = {
      {"cement-debris-soil", "yard"}, {"cement-roof-shingle", "roof"}, {"cement-siding", "exterior"},  {"glazing-putty", "exterior"},
      {"brake-lining", "garage"},     {"pipe-lagging", "basement"},    {"duct-paper-wrap", "basement"}, {"cement-flue-pipe", "basement"},
      {"vinyl-floor-tile", "rooms"},  {"popcorn-ceiling", "rooms"},    {"vermiculite-fill", "attic"},   {"loose-fill-asbestos", "attic"}};
  for (const auto& entry : known) {
    const auto& id = entry.first;
    const auto& stop = entry.second;
    CAPTURE(id);
    CHECK(main_stop(walk, id) == stop);
  }
}

TEST_CASE("ids in the vocabulary of a walk are articles") {
  const kb::WalkWords words = kb::load_walk_words(test_database());
  const auto is = [&](const std::string& id, const std::string& kind) {
    const auto article = kb::load_article(test_database(), id);
    return article && article->kind == kind;
  };
  std::set<std::string> systems;
  for (const kb::WalkStop& s : words.stops) {
    for (const std::string& id : s.materials) CHECK_MESSAGE(is(id, "material"), id);
    for (const std::string& id : s.systems) {
      CHECK_MESSAGE(is(id, "system"), id);
      CHECK_MESSAGE(systems.insert(id).second, id);
    }
  }
  for (const auto& entry : words.short_names) CHECK_MESSAGE(is(entry.first, "material"), entry.first);
  CHECK(words.name_of("duct-paper-wrap") == "duct paper wrap");
  CHECK(words.name_of("safe-insulation") == "filling of old safes");
  for (const kb::WalkMark& m : words.marks)
    for (const std::string& id : m.materials) CHECK_MESSAGE(is(id, "material"), id);
}

TEST_CASE("friable and loose kinds are marked, the strongest mark first") {
  const kb::Walk walk = walk_of(1955);
  for (const kb::WalkPlace& p : walk.places)
    for (const kb::WalkItem& i : p.items) {
      CAPTURE(i.material.id);
      if (i.material.friability == "friable") CHECK_FALSE(i.mark.empty());
      if (i.material.id == "loose-fill-asbestos" || i.material.id == "vermiculite-fill" || i.material.id == "cement-debris-soil") CHECK(i.mark == "stay-out");
      if (i.material.friability == "nonfriable") CHECK(i.mark.empty());
    }
}

TEST_CASE("what was seen brings others to the front, and says why") {
  const kb::Walk walk = walk_of(1955, {}, {"pipe-lagging", "vinyl-floor-tile"});
  REQUIRE(walk.first.size() > 4);
  CHECK(walk.first.size() <= walk.words.most_first);
  Ids first;
  for (const kb::WalkFirst& f : walk.first) {
    first.push_back(f.material.id);
    CHECK_FALSE(f.beside.empty());
  }
  CHECK(holds(first, "fitting-mud"));
  CHECK(holds(first, "black-mastic"));
  const auto count = told(walk);
  CHECK_FALSE(count.contains("pipe-lagging"));
  CHECK_FALSE(count.contains("vinyl-floor-tile"));
  for (const auto& entry : count) CHECK_MESSAGE(entry.second == 1, entry.first);
  const std::string text = kb::walk_markdown(walk, false);
  CHECK(holds(text, "Seen so far: pipe lagging, vinyl floor tile."));
  CHECK(holds(text, "ften found with pipe lagging"));
  CHECK(walk_of(1955).first.empty());
}

TEST_CASE("a system narrows the walk, and one without materials leaves it empty") {
  const kb::Walk ducts = walk_of(1955, {"warm-air-ducts"});
  const auto count = told(ducts);
  CHECK(count.contains("duct-paper-wrap"));
  CHECK_FALSE(count.contains("vinyl-floor-tile"));
  const kb::Walk none = walk_of(1955, {"no-such-system"});
  CHECK(none.places.empty());
  for (const std::string& text : {kb::walk_markdown(none, true), kb::walk_html(none, "v")}) {
    CHECK(holds(text, "clears nothing"));
    CHECK(holds(text, kb::kStandingLimits));
  }
}

TEST_CASE("every form has its boxes and names the limits") {
  const kb::Walk walk = walk_of(1930);
  const std::string list = kb::walk_markdown(walk, true), plain = kb::walk_markdown(walk, false), page = kb::walk_html(walk, "2026.1");
  CHECK(holds(list, "- [ ] **Vinyl floor tile**"));
  CHECK_FALSE(holds(plain, "[ ]"));
  CHECK(holds(page, "<input type=\"checkbox\">Vinyl floor tile</label>"));
  CHECK_FALSE(holds(page, "<script"));
  CHECK(holds(page, "color-scheme"));
  for (const std::string& text : {list, plain, page, kb::walk_json(walk)}) CHECK(holds(text, kb::kStandingLimits));
}
