#include "indexer/vocabulary_json.h"

#include <algorithm>
#include <cstdlib>
#include <initializer_list>
#include <nlohmann/json.hpp>
#include <string_view>
#include <utility>

#include "indexer/front_matter.h"
#include "indexer/schema.h"

namespace indexer {
namespace {

// Adds `text` as a JSON string. Written here and not through a tree of values, for each article is
// written once and thrown away.
void add_text(std::string& out, std::string_view text) {
  constexpr char kHex[] = "0123456789abcdef";
  out += '"';
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == '"' || c == '\\') {
      out += '\\';
      out += c;
    } else if (c == '\n') {
      out += "\\n";
    } else if (c == '\t') {
      out += "\\t";
    } else if (byte < 0x20) {
      out += "\\u00";
      out += kHex[byte >> 4];
      out += kHex[byte & 15];
    } else {
      out += c;
    }
  }
  out += '"';
}

// Adds a tree as compact JSON; `scalar(out, value)` decides what a scalar becomes.
template <typename Scalar>
void add_json(std::string& out, const Value& value, Scalar scalar) {
  const char* comma = "";
  if (value.is_list()) {
    out += '[';
    for (const Value& item : value.items) {
      out += std::exchange(comma, ",");
      add_json(out, item, scalar);
    }
    out += ']';
  } else if (value.is_map()) {
    out += '{';
    for (const Member& member : value.members) {
      out += std::exchange(comma, ",");
      add_text(out, member.key);
      out += ':';
      add_json(out, member.value, scalar);
    }
    out += '}';
  } else {
    scalar(out, value);
  }
}

void text(std::string& out, const Value& value) { add_text(out, value.text); }

void number_or_text(std::string& out, const Value& value) {
  if (const auto whole = whole_number(value)) {
    out += std::to_string(*whole);
  } else if (!value.text.empty() && value.text.find_first_not_of("0123456789.") == std::string::npos) {
    out += nlohmann::json(std::strtod(value.text.c_str(), nullptr)).dump();
  } else {
    add_text(out, value.text);
  }
}

void by_its_look(std::string& out, const Value& value) {
  // "010" stays text: as a number it would lose its zero.
  const bool leading_zero = value.text.size() > 1 && value.text[0] == '0';
  const auto whole = value.quoted || leading_zero ? std::nullopt : whole_number(value);
  if (whole) {
    out += std::to_string(*whole);
  } else if (!value.quoted && (value.text == "true" || value.text == "false")) {
    out += value.text;
  } else {
    add_text(out, value.text);
  }
}

// Numbers under these keys of a mapping, text under the others.
void add_with_numbers(std::string& out, const Value& value, std::initializer_list<std::string_view> keys) {
  if (!value.is_map()) return add_json(out, value, text);
  const char* comma = "{";
  for (const Member& member : value.members) {
    out += std::exchange(comma, ",");
    add_text(out, member.key);
    out += ':';
    const bool number = std::find(keys.begin(), keys.end(), member.key) != keys.end();
    add_json(out, member.value, number ? number_or_text : text);
  }
  out += value.members.empty() ? "{}" : "}";
}

void add_front_value(std::string& out, const Key& key, const Value& value) {
  switch (key.shape) {
    case Shape::years:
      return add_with_numbers(out, value, {"from", "to"});
    case Shape::asbestos:
      return add_with_numbers(out, value, {"percent"});
    case Shape::us_line:
      return add_with_numbers(out, value, {"year"});
    case Shape::seen_as:
      if (!value.is_list()) out += '[';
      add_json(out, value, text);
      if (!value.is_list()) out += ']';
      return;
    default:
      return add_json(out, value, text);
  }
}

}  // namespace

std::string vocabulary_json(const Value& value) {
  std::string out;
  add_json(out, value, by_its_look);
  return out;
}

std::string front_json(const Value& front) {
  std::string out;
  const char* comma = "{";
  for (const Key& key : all_keys())
    if (const Value* value = front.find(key.name)) {
      out += std::exchange(comma, ",");
      add_text(out, key.name);
      out += ':';
      add_front_value(out, key, *value);
    }
  return out + (out.empty() ? "{}" : "}");
}

}  // namespace indexer
