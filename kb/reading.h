// Reading an inspector's note: which suspect materials it reports, in what state, and what to advise.
//
// The note is never changed here. All knowledge comes from the corpus; this file decides order and
// binding only. No I/O, no clock.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "kb/knowledge.h"
#include "kb/layout.h"

namespace kb {

// Words of the note that decided something.
struct Evidence {
  Span span;
  std::string says;  // name, look, place, condition, denial, year or test.
};

// Wording of one article, chosen for one finding.
struct Attached {
  std::string id;
  std::string text;
};

struct Finding {
  std::string id;                     // A material's id, or that of the unknown-material caution.
  std::string title;
  std::vector<std::string> other_readings;
  bool named = true;
  ConditionSet conditions = 0;
  bool stated = false;                // The note says something of its state.
  std::string severity;               // "slight", "bad" or empty.
  std::string tested;                 // "positive", "negative", "trace" or empty.
  std::string period = "unknown";     // before, within, after, unknown: of the material's common years.
  std::optional<int> year;            // The year that decided the period.
  bool hearsay = false;               // Somebody's word on it was told and is kept as said.
  std::string advice;
  std::string because;                // Why this advice, from the advice table.
  std::vector<Span> places, extents;  // The note's own words.
  std::vector<Evidence> evidence;
  std::vector<Attached> attached;     // The block's parts in order (compose_block fills them).
};

struct LeftOut {
  std::string id;
  std::string because;                // denied, period, lookalike or tested-negative.
  std::vector<Evidence> evidence;
};

struct ObservationReading {
  Observation layout;
  std::vector<Finding> findings;
  std::vector<LeftOut> left_out;
  std::string advice = "none";
};

// A word to the writer, apart from the client's text.
struct Remark {
  Span span;
  std::string text;
};

struct Reading {
  std::vector<ObservationReading> observations;
  std::vector<Remark> remarks;
  std::string advice = "none";        // Of the strongest material.
  std::optional<int> built;
};

struct ReadOptions {
  std::optional<int> built;           // Wins over a year in the note.
  bool brief = false;                 // Shorter blocks.
  bool plain = false;                 // Blocks in plain words for a homeowner; `brief` is not looked at.
  std::vector<Span> skip;             // Byte ranges that are not read.
};

// Reads `note`: any bytes; invalid UTF-8 and NUL separate words. An empty note gives no observations.
Reading read_note(std::string_view note, const Knowledge& knowledge, const ReadOptions& options);

// The same, each observation handed over as soon as it is read, so that memory does not grow with the
// findings of a long note. Returns the year the house was built, as in Reading.
using PartSink = std::function<void(ObservationReading&&, std::vector<Remark>&&)>;
std::optional<int> read_note_by_parts(std::string_view note, const Knowledge& knowledge, const ReadOptions& options, const PartSink& sink);

// The stronger of two advices ("none" is the weakest).
std::string stronger(const Knowledge& knowledge, const std::string& a, const std::string& b);

// Fills `advice` and `because` from the table: the first row that fits.
void advise(const Knowledge& knowledge, Finding& finding);

}  // namespace kb
