// When each material was in common use, as bars over decades.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "kb/usage.h"
#include "kb/walk_words.h"

namespace kb {

struct ChartGroup {
  std::string id, title;         // Of the system.
  std::vector<Usage> materials;  // By first year, then last year, then id.
};

struct Chart {
  std::vector<ChartGroup> groups;  // In the order of the corpus.
  int first = 0, last = 0;         // Whole decades around all bars and the house's year.
  int soft_years = 0;              // How far a soft end reaches behind the last year.
  std::optional<int> built;
  WalkWords words;
};

// Each material once, under its first system. With `system` only those that belong to it at all, under it.
Chart make_chart(const Database& db, const std::string& system, std::optional<int> built);

// How a year is called that a house's line stands for; empty without one.
std::string house_line(const Chart& chart);

// One picture with a title and a description for those who do not see it: text labels, black and white,
// drawn in the color of the text around it, and no script. The standing limits stand below.
std::string chart_svg(const Chart& chart);

// A table for each group.
std::string chart_markdown(const Chart& chart);

}  // namespace kb
