// The JSON that the database holds. Only vocabulary_json.cpp includes nlohmann's json.hpp.
#pragma once

#include <string>

#include "indexer/yaml_value.h"

namespace indexer {

// A vocabulary file as compact JSON, keys in the order of the file. Unquoted decimal digits are
// numbers, unquoted true and false are booleans, everything else is a string.
std::string vocabulary_json(const Value& value);

// The front matter as compact JSON, keys in the order of the schema. Years and percentages are
// numbers, everything else is text; `seen-as` is always a list.
std::string front_json(const Value& front);

}  // namespace indexer
