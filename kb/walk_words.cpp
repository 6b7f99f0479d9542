#include "kb/walk_words.h"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "kb/error.h"
#include "kb/text.h"

namespace kb {
namespace {

using nlohmann::json;

std::vector<std::string> strings_at(const json& from, const char* key) {
  const auto place = from.find(key);
  return place == from.end() ? std::vector<std::string>{} : place->get<std::vector<std::string>>();
}

bool holds(const std::vector<std::string>& list, const std::string& value) { return std::find(list.begin(), list.end(), value) != list.end(); }

WalkWords read(const json& from) {
  WalkWords out;
  for (const json& s : from.at("stops"))
    out.stops.push_back({s.at("id"), s.at("title"), s.at("protect"), strings_at(s, "places"), strings_at(s, "systems"), strings_at(s, "materials")});
  for (const json& m : from.at("marks"))
    out.marks.push_back({m.at("id"), m.at("label"), m.at("says"), strings_at(m, "materials"), strings_at(m, "friability")});
  constexpr std::pair<Fit, const char*> kPeriods[] = {
      {Fit::likely, "likely"}, {Fit::possible, "possible"}, {Fit::later_work, "later-work"}, {Fit::reuse, "reuse"}};
  for (const auto& [fit, id] : kPeriods) {
    const json& period = from.at("periods").at(id);
    out.periods[fit] = {id, period.at("label"), period.at("says")};
  }
  for (const auto& [key, text] : from.at("sentences").items()) out.sentences[key] = text;
  for (const auto& [key, text] : from.at("chart").items()) out.chart[key] = text;
  for (const auto& [id, name] : from.at("short-names").items()) out.short_names[id] = name;
  out.near_years = from.at("near-years");
  out.most_first = from.at("most-first");
  out.most_with = from.at("most-with");
  return out;
}

}  // namespace

std::string WalkWords::sentence(std::string_view key, std::string_view slot, std::string_view value) const {
  const auto place = sentences.find(key);
  if (place == sentences.end()) throw Error("vocabulary/walk.yaml has no sentence '" + std::string(key) + "'; copy it from letbe's own articles");
  return slot.empty() ? place->second : filled(place->second, slot, value);
}

std::string WalkWords::name_of(const std::string& id) const {
  if (const auto place = short_names.find(id); place != short_names.end()) return place->second;
  std::string out = id;
  std::replace(out.begin(), out.end(), '-', ' ');
  return out;
}

const WalkMark* WalkWords::mark_of(const Usage& m) const {
  for (const WalkMark& mark : marks)
    if (holds(mark.materials, m.id) || holds(mark.friability, m.friability)) return &mark;
  return nullptr;
}

WalkWords load_walk_words(const Database& db) {
  const std::string body = db.vocabulary("walk");
  if (body.empty()) throw Error("vocabulary/walk.yaml is missing; copy it from letbe's own articles");
  try {
    return read(json::parse(body));
  } catch (const json::exception&) {
    throw Error("vocabulary/walk.yaml is misshapen; compare it with letbe's own articles");
  }
}

}  // namespace kb
