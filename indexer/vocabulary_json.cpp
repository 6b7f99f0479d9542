#include "indexer/vocabulary_json.h"

#include <algorithm>
#include <cstdlib>
#include <nlohmann/json.hpp>
#include <string_view>

#include "indexer/front_matter.h"
#include "indexer/schema.h"

namespace indexer {
namespace {

using Json = nlohmann::ordered_json;

// Turns a tree into JSON; `scalar(text value)` decides what a scalar becomes.
template <typename Scalar>
Json to_json(const Value& value, Scalar scalar) {
  if (value.is_list()) {
    Json list = Json::array();
    for (const Value& item : value.items) list.push_back(to_json(item, scalar));
    return list;
  }
  if (value.is_map()) {
    Json map = Json::object();
    for (const Member& member : value.members) map[member.key] = to_json(member.value, scalar);
    return map;
  }
  return scalar(value);
}

Json text(const Value& value) { return value.text; }

Json number_or_text(const Value& value) {
  if (const auto whole = whole_number(value)) return *whole;
  const bool decimal =
      !value.text.empty() && value.text.find_first_not_of("0123456789.") == std::string::npos;
  return decimal ? Json(std::strtod(value.text.c_str(), nullptr)) : Json(value.text);
}

Json by_its_look(const Value& value) {
  if (value.quoted) return value.text;
  if (value.text == "true") return true;
  if (value.text == "false") return false;
  // "010" stays text: as a number it would lose its zero.
  const bool leading_zero = value.text.size() > 1 && value.text[0] == '0';
  if (const auto whole = whole_number(value); whole && !leading_zero) return *whole;
  return value.text;
}

// Numbers under these keys of a mapping, text under the others.
Json with_numbers(const Value& value, std::initializer_list<std::string_view> keys) {
  Json map = to_json(value, text);
  for (const std::string_view key : keys)
    if (const Value* number = value.find(key))
      map[std::string(key)] = to_json(*number, number_or_text);
  return map;
}

Json front_value(const Key& key, const Value& value) {
  switch (key.shape) {
    case Shape::years:
      return with_numbers(value, {"from", "to"});
    case Shape::asbestos:
      return with_numbers(value, {"percent"});
    case Shape::us_line:
      return with_numbers(value, {"year"});
    case Shape::seen_as: {
      Json rules = to_json(value, text);
      if (rules.is_array()) return rules;
      Json list = Json::array();
      list.push_back(std::move(rules));
      return list;
    }
    default:
      return to_json(value, text);
  }
}

}  // namespace

std::string vocabulary_json(const Value& value) { return to_json(value, by_its_look).dump(); }

std::string front_json(const Value& front) {
  Json map = Json::object();
  for (const Key& key : all_keys())
    if (const Value* value = front.find(key.name)) map[key.name] = front_value(key, *value);
  return map.dump();
}

}  // namespace indexer
