// The state of each material in an observation: conditions, severity, laboratory result, and the
// place and extent in the note's own words. Internal to the note reader.
#pragma once

#include <string>
#include <vector>

#include "kb/denial.h"

namespace kb {

// What the observation says of one mention.
struct State {
  ConditionSet conditions = 0;
  bool stated = false;             // Something was said of its condition, a denied damage included.
  bool bad = false, slight = false;
  std::string tested;              // "positive", "negative", "trace" or empty.
  std::vector<Match> condition_cues, test_cues;
  std::vector<Span> places, extents;
};

// One State for each mention, in the same order; those of mentions that are not present stay empty,
// except for a laboratory result.
std::vector<State> read_states(const Scene& scene, const std::vector<Mention>& mentions, const Denial& denial);

}  // namespace kb
