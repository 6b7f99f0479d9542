// One observation of a note, made ready for reading: its words, its sentences, and where each family
// of cues occurs. Internal to the note reader.
#pragma once

#include <array>
#include <cstdint>
#include <string_view>
#include <vector>

#include "kb/knowledge.h"
#include "kb/layout.h"

namespace kb {

struct Sentence {
  std::uint32_t first = 0;  // Tokens [first, last).
  std::uint32_t last = 0;
  bool heading = false;     // The heading above the observation, read as context.
};

struct Scene {
  const Knowledge* knowledge = nullptr;
  std::string_view note;
  Observation layout;
  std::vector<Token> tokens;           // Offsets count in the whole note.
  std::vector<Sentence> sentences;
  std::vector<std::uint32_t> sentence_of;
  std::vector<std::uint64_t> flags;    // By token: one bit for each family that covers it.
  std::array<std::vector<Match>, static_cast<std::size_t>(Cue::count)> found;

  const std::vector<Match>& of(Cue cue) const { return found[static_cast<std::size_t>(cue)]; }
  bool has(std::uint32_t token, Cue cue) const { return (flags[token] >> static_cast<unsigned>(cue)) & 1u; }
  bool any(std::uint32_t first, std::uint32_t last, Cue cue) const;
  bool any_in_sentence(std::uint32_t sentence, Cue cue) const;
  Span span(std::uint32_t first, std::uint32_t last) const;
  Span span(const Match& m) const { return span(m.first, m.last); }
  bool is_mark(std::uint32_t token, char mark) const { return tokens[token].word == nullptr && tokens[token].mark == mark; }
  // Can what begins at token `to` be said of the thing that ends at `from`? Only the thing's place, and
  // words such as "was", "all" and years, may stand between: in "cement flue, furnace replaced 2015"
  // the flue was not replaced.
  bool said_of_subject(std::uint32_t from, std::uint32_t to) const;
  // A sign that ends a clause: semicolon or dash.
  bool breaks(std::uint32_t token) const;
};

// Reads one observation of `note`. `spoken_signs`: the note has no full stop of its own, so that
// "period" and "comma" are read as signs.
Scene make_scene(std::string_view note, const Observation& layout, const Knowledge& knowledge, bool spoken_signs);

// Leaves out every match that lies inside a longer one of the same list, and of overlapping ones the
// later; of equal ones the first in the list stays.
std::vector<Match> longest(std::vector<Match> matches);

}  // namespace kb
