// Materials with when and where they were used: what a walk and a chart tell of them.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "kb/database.h"

namespace kb {

struct Usage {
  std::string id, title;
  int from = 0, to = 0;                // First and last year of common use.
  bool soft = false;                   // Its source leaves the end soft.
  std::string friability;
  std::string look;                    // The first sentence of "In short": how it looks, in a line.
  std::vector<std::string> systems;    // Ids, the main one first.
  std::vector<std::string> places;     // In the article's order.
  std::vector<std::string> look_also;  // Ids of what is often found with it, articles of other kinds too.
};

// Every material that has years, by id.
std::vector<Usage> load_usage(const Database& db);

// How well a house's year fits the years of common use.
enum class Fit : std::uint8_t {
  likely,      // Within them.
  possible,    // At most `near` years before or after.
  later_work,  // The house is older still: it came with later work.
  reuse,       // The house is younger still: older stock or reuse only.
};
Fit fit_of(const Usage& material, int built, int near);

// `text` up to its first full stop before a blank, all on one line.
std::string first_sentence(std::string_view text);

}  // namespace kb
