#include "indexer/link_checks.h"

#include <algorithm>
#include <set>
#include <utility>

#include "indexer/front_matter.h"

namespace indexer {
namespace {

std::string span_of(int first, int last) { return std::to_string(first) + " to " + std::to_string(last); }

template <typename Row>
std::string span_of(const Row& row) {
  return span_of(row.first, row.last);
}

template <typename Row>
bool overlap(const Row& a, const Row& b) {
  return a.first <= b.last && b.first <= a.last;
}

using Pairs = std::set<std::pair<std::string_view, std::string_view>>;

// From and to, or to and from.
template <typename List>
Pairs pairs_of(const List& named, bool turned) {
  Pairs out;
  for (const auto& n : named) out.insert(turned ? std::pair(n.to, n.from) : std::pair(n.from, n.to));
  return out;
}

}  // namespace

LinkChecks::LinkChecks(const Corpus& corpus, Problems& problems)
    : corpus_(corpus),
      problems_(problems),
      has_rules_(std::any_of(corpus.kinds.begin(), corpus.kinds.end(), [](const auto& row) { return row.second->name == "rule"; })) {}

bool LinkChecks::is(std::string_view id, std::string_view kind) const {
  const auto known = corpus_.kinds.find(id);
  return known != corpus_.kinds.end() && known->second->name == kind;
}

// The entries under `key` that are of `kind`; others have their own rules.
std::vector<LinkChecks::Named> LinkChecks::links(std::string_view id, const Page& page, std::string_view key, std::string_view kind) const {
  std::vector<Named> out;
  for (const Text& text : texts_under(page.front, key))
    if (is(text.text, kind)) out.push_back({id, corpus_.kinds.find(text.text)->first, text.place});
  return out;
}

void LinkChecks::take_years(std::string_view id, const Page& page, std::map<std::string_view, Used>& into) {
  const auto years = years_of(page.front);
  if (years && years->first <= years->last) into.insert({id, {years->first, years->last, page.front.find("years")->place}});
}

void LinkChecks::take_material(std::string_view id, const Page& page) {
  take_years(id, page, materials_);
  if (page.front.find("systems") == nullptr) without_systems_.insert(id);
  for (const Named& n : links(id, page, "systems", "system")) systems_of_materials_.push_back(n);
  const Value* rules = page.front.find("rules");
  if (has_rules_ && rules != nullptr && rules->is_list() && rules->items.empty())
    problems_.add(Rule::no_rule, rules->place, "no entry under 'rules'; name at least one rule that speaks of this material");
}

void LinkChecks::run(const Page& page) {
  const auto known = corpus_.kinds.find(page.id);
  if (known == corpus_.kinds.end() || known->second != page.kind) return;
  const std::string_view id = known->first;  // Stays when the page is gone.
  if (page.kind->name == "material") {
    take_material(id, page);
  } else if (page.kind->name == "system") {
    for (const Named& n : links(id, page, "look-also", "material")) materials_of_systems_.push_back(n);
  } else if (page.kind->name == "era") {
    take_years(id, page, eras_);
    for (const Named& n : links(id, page, "look-also", "material")) materials_of_eras_.push_back(n);
  }
}

void LinkChecks::finish() {
  check_systems();
  check_eras();
}

void LinkChecks::check_systems() {
  const Pairs named_by_system = pairs_of(materials_of_systems_, true);
  const Pairs named_by_material = pairs_of(systems_of_materials_, false);
  const auto text = [](std::string_view id) { return "'" + std::string(id) + "'"; };
  for (const Named& n : systems_of_materials_)
    if (!named_by_system.contains({n.from, n.to}))
      problems_.add(Rule::one_sided_link, n.place,
                    text(n.to) + " does not name " + text(n.from) + " under look-also; add it there, or take the system out here");
  for (const Named& n : materials_of_systems_) {
    if (without_systems_.contains(n.to)) continue;
    if (!named_by_material.contains({n.to, n.from}))
      problems_.add(Rule::one_sided_link, n.place,
                    text(n.to) + " does not name " + text(n.from) + " under systems; add it there, or take the material out here");
  }
}

void LinkChecks::check_eras() {
  std::set<std::string_view> met;
  for (const Named& n : materials_of_eras_) {
    const auto era = eras_.find(n.from);
    const auto material = materials_.find(n.to);
    if (era == eras_.end() || material == materials_.end()) {
      met.insert(n.to);  // Years that cannot be read have been reported.
    } else if (overlap(era->second, material->second)) {
      met.insert(n.to);
    } else {
      problems_.add(Rule::outside_era, n.place,
                    "'" + std::string(n.to) + "' was used from " + span_of(material->second) + ", outside the years of this era (" +
                        span_of(era->second) + "); take it out of look-also, its mention in the text may stay");
    }
  }
  if (eras_.empty()) return;
  for (const auto& material : materials_) {
    const std::string_view id = material.first;
    const Used& years = material.second;
    if (met.contains(id)) continue;
    const auto era = std::find_if(eras_.begin(), eras_.end(), [&](const auto& row) { return overlap(row.second, years); });
    problems_.add(Rule::no_era, years.place,
                  "no era of the years " + span_of(years) + " names '" + std::string(id) + "' under look-also; " +
                      (era == eras_.end() ? "write an era of those years" : "add it to '" + std::string(era->first) + "' or another of them"));
  }
}

}  // namespace indexer
