// The plain part of YAML that articles are written in, read in a fraction of yaml-cpp's time.
//
// Block mappings and lists, lists and mappings in brackets on one line, plain words, quotes without
// escapes. Whatever is less plain (a comment, a wrapped line, an anchor, a repeated key, a fault) is
// left to yaml-cpp whole, which alone decides what such a text means: plain_yaml_test.cpp holds the two
// against each other.
#pragma once

#include <optional>
#include <string_view>

#include "indexer/yaml_value.h"

namespace indexer {

// The document `text`, whose first line is `first`, or nothing when it is not plain.
std::optional<Value> parse_plain_yaml(std::string_view text, Place first);

}  // namespace indexer
