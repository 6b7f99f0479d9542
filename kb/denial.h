// What a note says is not there. Triggers with a scope, in the manner of the published clinical method
// (Chapman et al., A simple algorithm for identifying negated findings and diseases, J Biomed Inform
// 34 (2001) 301-310): pseudo-denials first, then triggers before and after, ended by terminators.
// Ours also tells a denied state ("no damage to the lagging") from a denied thing.
// Internal to the note reader.
#pragma once

#include <vector>

#include "kb/mentions.h"

namespace kb {

// A condition's cue in the scene, after its denial was read.
struct StateCue {
  Match match;               // item: the condition.
  bool denied = false;       // "no cracks"
  bool of_all = false;       // "neither A nor B showed wear": said of every thing of the sentence.
  Match denied_by;
  std::uint32_t sentence = 0;
};

struct Denial {
  std::vector<StateCue> states;
};

// Settles the standing of each mention and lists the condition cues, denied ones marked. Words that
// belong to a mention's name are no condition cues.
Denial read_denial(const Scene& scene, std::vector<Mention>& mentions);

}  // namespace kb
