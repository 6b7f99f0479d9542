// What vocabulary/walk.yaml says: the stops of a walk, and the words around a walk and a chart.
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "kb/usage.h"

namespace kb {

struct WalkStop {
  std::string id, title, protect;
  std::vector<std::string> places, systems, materials;
};

struct WalkMark {
  std::string id, label, says;
  std::vector<std::string> materials, friability;
};

struct PeriodWords {
  std::string id, label, says;
};

struct WalkWords {
  std::vector<WalkStop> stops;         // In walking order.
  std::vector<WalkMark> marks;         // The strongest first.
  std::map<Fit, PeriodWords> periods;  // One for each.
  std::map<std::string, std::string, std::less<>> sentences, chart, short_names;
  int near_years = 0;
  std::size_t most_first = 0, most_with = 0;

  // A sentence with its slot, such as "{year}", filled.
  std::string sentence(std::string_view key, std::string_view slot = {}, std::string_view value = {}) const;
  // What a material is called in a list of names: "duct paper wrap" for "duct-paper-wrap".
  std::string name_of(const std::string& id) const;
  // The mark of a material; nullptr when it has none.
  const WalkMark* mark_of(const Usage& material) const;
};

// Throws kb::Error when the vocabulary is missing or misshapen.
WalkWords load_walk_words(const Database& db);

}  // namespace kb
