// Years in a note: when the house, an addition or the thing itself is from, and what follows.
// Internal to the note reader.
#pragma once

#include <optional>

#include "kb/mentions.h"

namespace kb {

struct Year {
  int value = 0;         // A decade counts by its first year, the more cautious reading.
  std::uint32_t token = 0;
  enum class Of : std::uint8_t { house, addition, item, event, open } of = Of::open;
};

// Every year of the scene with what it is the year of. Years are 1700 to 2100, or decades ("1950s",
// "50s", "mid-century").
std::vector<Year> find_years(const Scene& scene);

// The year the house was built, when the scene says it.
std::optional<int> built_year(const std::vector<Year>& years);

enum class Period : std::uint8_t { unknown, before, within, after };

struct Dating {
  std::optional<int> year;       // That decided.
  Period period = Period::unknown;
  bool late = false;             // More than ten years after common use ended, and nothing older is told of.
  std::optional<std::uint32_t> token;
};

// Dates one mention: its own year, else that of an addition told of in the scene, else the house's.
// `suspected`: the note itself suspects asbestos here, so that no year silences it.
Dating date_mention(const Scene& scene, const Mention& mention, const std::vector<Year>& years,
                    std::optional<int> built, bool suspected);

}  // namespace kb
