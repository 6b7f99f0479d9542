#include "indexer/schema.h"

#include <algorithm>

#include "indexer/problem.h"

namespace indexer {
namespace {

bool listed(std::span<const std::string> list, const std::string& name) {
  return std::any_of(list.begin(), list.end(),
                     [&](const std::string& entry) { return entry == "all" || entry == name; });
}

std::vector<Kind> make_kinds() {
  return {
      {"material",
       "materials",
       {"In short", "How it looks", "Where and when", "Easily mistaken for", "Cautions",
        "Report wording", "For the homeowner", "Look also"},
       false,
       35},
      {"system",
       "systems",
       {"In short", "The walk", "Often replaced, often left", "When to stay out", "Look also"},
       false,
       0},
      {"era",
       "eras",
       {"In short", "What to expect", "What has usually changed", "Look also"},
       false,
       0},
      {"caution",
       "cautions",
       {"Report wording", "Why", "Nobody should", "For the homeowner"},
       false,
       50},
      {"rule",
       "rules",
       {"In short", "What it says", "Who it binds", "Common misreading", "Known as of"},
       false,
       0},
      // A report wording here is the standard paragraph at the end of a note.
      {"basics", "basics", {"In short"}, true, 70},
      {"lookalike",
       "lookalikes",
       {"In short", "How it looks", "How to tell them apart", "Report wording",
        "For the homeowner"},
       false,
       35},
      {"homeowner",
       "homeowner",
       {"Do today", "Do not", "What it may mean", "Who to call", "What happens next"},
       false,
       0},
  };
}

std::vector<Key> make_keys() {
  std::vector<std::string> kinds;
  for (const Kind& kind : all_kinds()) kinds.push_back(kind.name);
  const std::vector<std::string> all{"all"};
  const std::vector<std::string> material{"material"};
  return {
      {"id", Shape::text, "the file's name without .md", {}, {}, all, {}},
      {"kind", Shape::word, joined(kinds), kinds, {}, all, {}},
      {"title", Shape::text, "one line", {}, {}, all, {}},
      {"names", Shape::names, "a list of names", {}, {}, all, {}},
      {"heard-as", Shape::names, "a list, [] when empty", {}, {}, all, {}},
      {"systems", Shape::links, "a list of system ids", {}, "system", material, all},
      {"places", Shape::texts, "a list of places", {}, {}, material, all},
      {"years", Shape::years, "{from, to, soft-end}", {}, {}, {"material", "era"}, {}},
      {"asbestos", Shape::asbestos, "{percent: [lo, hi], minerals: [words]}", {}, {}, material, {}},
      {"friability",
       Shape::word,
       "friable, nonfriable or becomes-friable",
       {"friable", "nonfriable", "becomes-friable"},
       {},
       material,
       {}},
      {"us-class",
       Shape::word,
       "friable, category-i, category-ii or none",
       {"friable", "category-i", "category-ii", "none"},
       {},
       material,
       {}},
      {"unstated", Shape::word, "evaluate or leave", {"evaluate", "leave"}, {}, material, {}},
      {"us-line", Shape::us_line, "{basis: building or installation, year}", {}, {}, {}, material},
      {"seen-as",
       Shape::seen_as,
       "{all-of: [[words], ...], for, against} or a list of such",
       {},
       {},
       material,
       {}},
      {"mistaken-for", Shape::links, "a list of ids", {}, {}, material, all},
      {"look-also", Shape::links, "a list of ids", {}, {}, material, all},
      {"cautions", Shape::links, "a list of caution ids", {}, "caution", material, all},
      {"rules", Shape::links, "a list of rule ids", {}, "rule", material, all},
      // Only in a page that overrides another one; corpus.cpp looks at what it says.
      {"base", Shape::digits, "{Section: eight hex digits of the text it replaces}", {}, {}, {}, all},
      {"sources", Shape::sources, "a list of {cite, backs, status, note}", {}, {}, all, {}},
      {"reviewed", Shape::date, "a date, YYYY-MM-DD", {}, {}, all, {}},
  };
}

template <typename Row, typename Match>
const Row* first_match(std::span<const Row> rows, Match match) {
  const auto place = std::find_if(rows.begin(), rows.end(), match);
  return place == rows.end() ? nullptr : &*place;
}

}  // namespace

std::span<const Kind> all_kinds() {
  static const std::vector<Kind> kinds = make_kinds();
  return kinds;
}

const Kind* kind_by_name(std::string_view name) {
  return first_match(all_kinds(), [&](const Kind& kind) { return kind.name == name; });
}

const Kind* kind_by_folder(std::string_view folder) {
  return first_match(all_kinds(), [&](const Kind& kind) { return kind.folder == folder; });
}

bool Key::needed(const Kind& kind) const { return listed(needed_by, kind.name); }
bool Key::allowed(const Kind& kind) const { return needed(kind) || listed(allowed_in, kind.name); }

std::span<const Key> all_keys() {
  static const std::vector<Key> keys = make_keys();
  return keys;
}

const Key* key_by_name(std::string_view name) {
  return first_match(all_keys(), [&](const Key& key) { return key.name == name; });
}

}  // namespace indexer
