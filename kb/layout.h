// How a note is laid out: observations with the heading or label that gives their place.
//
// An observation is a paragraph, a list item, or a labelled line ("Attic: ..."). No vocabulary is
// used here, only line ends, list marks, colons and capitals.
#pragma once

#include <string_view>
#include <vector>

#include "kb/text.h"

namespace kb {

struct Observation {
  Span span;           // Its text, without list mark and without the last line end.
  Span heading;        // Heading above it, or empty.
  Span label;          // "Attic" of "Attic: ...", or empty. Inside `span`.
  std::size_t anchor;  // Where a block after it is put: after its last line end and one empty line
                       // below it, or the note's end.
};

// The observations of `note` in order. `skip` holds byte ranges that are not read (attached blocks),
// sorted and apart; they end an observation. An empty note gives none.
std::vector<Observation> lay_out(std::string_view note, const std::vector<Span>& skip = {});

}  // namespace kb
