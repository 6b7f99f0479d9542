// Where a note speaks of a material: by name, by a misheard name, or by its look.
// Internal to the note reader.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "kb/scene.h"

namespace kb {

// Whether the thing is there, as far as the words around the mention say.
enum class Standing : std::uint8_t {
  present,
  denied,     // "no vermiculite seen"
  lookalike,  // "pipe insulation is fiberglass", or a description with a word against it
  sought,     // "checked for vermiculite": no report either way
};

struct Mention {
  int material = 0;
  std::vector<std::string> other_readings;  // Ids, for `or`.
  std::uint32_t first = 0, last = 0;        // Tokens it spans.
  std::uint32_t sentence = 0;
  bool named = true;                        // Else described.
  Standing standing = Standing::present;
  bool hearsay = false;                     // Its denial or result is somebody's word only.
  bool unseen = false;                      // "could not rule out": there, and not visible.
  bool left_over = false;                   // Taken away, but a remnant is told of.
  std::vector<Match> looks;                 // Of a description: the words that met the rule.
  Match decided;                            // The cue that decided a standing other than present.
  bool has_cue = false;
};

// All mentions of `scene` in order, none of them overlapping. Denial is not read yet; look-alikes are.
std::vector<Mention> find_mentions(const Scene& scene);

}  // namespace kb
