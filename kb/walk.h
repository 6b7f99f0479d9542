// A walk through a house of some year: which suspect materials to look for, place by place.
#pragma once

#include <string>
#include <vector>

#include "kb/usage.h"
#include "kb/walk_words.h"

namespace kb {

struct WalkOptions {
  int built = 0;
  std::vector<std::string> systems;  // Ids; only materials of one of these. Empty: all.
  std::vector<std::string> seen;     // Ids of materials that were already found.
};

struct WalkItem {
  Usage material;
  Fit fit = Fit::likely;
  std::string mark;                // Id of its mark; empty: none.
  std::vector<std::string> with;   // Ids of what often comes with it, at most `most-with`.
};

// Something to look for before the rest, and why.
struct WalkFirst : WalkItem {
  std::vector<std::string> beside;       // Seen materials that name it, or that it names, as often found together.
  std::vector<std::string> same_system;  // Seen materials of the same main system.
};

struct WalkPlace {
  WalkStop stop;
  std::vector<WalkItem> items;      // Whose main stop this is: by fit, the marked before the others, by id.
  std::vector<std::string> also;    // Ids of what stands in full elsewhere and occurs here too.
  std::vector<std::string> reuse;   // Ids of what is here as older stock or reuse only.
};

struct Walk {
  WalkOptions asked;
  std::vector<WalkFirst> first;     // Most votes first; empty when nothing was seen.
  std::vector<WalkPlace> places;    // In walking order; stops with nothing are left out.
  WalkWords words;
};

// Each material stands in full once: in `first`, else at its main stop. Seen ones are not listed.
// Ids that are no material or system are passed over: the caller tells of them.
Walk plan_walk(const Database& db, const WalkOptions& options);

// Where a material is looked for: its main stop first, then its others in walking order. Numbers of
// `words.stops`; empty when no stop has it.
std::vector<std::size_t> stops_of(const Usage& material, const WalkWords& words);

}  // namespace kb
