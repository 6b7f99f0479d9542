// YAML as a tree that remembers the line of every value.
//
// Our own tree and not yaml-cpp's, because that one accepts repeated keys in silence, forgets which
// scalars were quoted and shares aliased nodes. Only yaml_value.cpp includes yaml-cpp.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "indexer/problem.h"

namespace indexer {

struct Member;

struct Value {
  enum class Kind : std::uint8_t { null, text, list, map };
  Kind kind = Kind::null;
  Place place;
  std::string text;  // Of a scalar, as written.
  bool quoted = false;
  std::vector<Value> items;     // Of a list.
  std::vector<Member> members;  // Of a mapping, in the order of the file, no key twice.

  bool is_text() const { return kind == Kind::text; }
  bool is_list() const { return kind == Kind::list; }
  bool is_map() const { return kind == Kind::map; }
  // The member's value, or null when there is none.
  const Value* find(std::string_view key) const;
};

struct Member {
  std::string key;
  Place place;
  Value value;
};

// Reads one YAML document. `first` is the place of its first line. What cannot be read, repeated
// keys, anchors, tags and control characters are reported; of repeated keys the first is kept. An
// empty text gives a null value, an unreadable one nothing.
std::optional<Value> parse_yaml(std::string_view text, Place first, Problems& problems);

// The same by yaml-cpp alone, without the short way of plain_yaml.h.
std::optional<Value> parse_any_yaml(std::string_view text, Place first, Problems& problems);

}  // namespace indexer
