// A note in short: each suspect material once, the most urgent first, and what the note does not speak of.
#pragma once

#include <string>
#include <vector>

#include "kb/blocks.h"

namespace kb {

struct SummaryItem {
  std::string id, title;
  std::vector<std::string> other_readings;  // Ids.
  bool named = false, hearsay = false;
  ConditionSet conditions = 0;
  std::string severity, tested, advice, because;  // As of a Finding; the strongest over the note.
  std::vector<std::string> places;  // The note's own words, each once: place and extent.
  std::vector<Span> seen;           // The observations, in the note without blocks.
};

// A material that the note does not mention and that is often found with one that it reports.
struct LookToo {
  std::string id, title;
  std::string beside;               // Title of the material that it goes with.
};

struct Summary {
  std::vector<SummaryItem> items;   // By advice, then severity, then place in the note.
  std::vector<LookToo> look_too;    // Those that several reported materials name first; at most 8.
  std::string advice = "none";
};

Summary summarize(const Attachment& attachment, const Knowledge& knowledge);

// The summary as markdown (CommonMark), which reads well as plain text too; the note's own words are
// escaped. With nothing suspect it says so, and names the limits.
std::string summary_markdown(const Summary& summary, const Attachment& attachment, const Knowledge& knowledge);
// The same as plain text.
std::string summary_text(const Summary& summary, const Attachment& attachment, const Knowledge& knowledge);

// The line of an offset in the note without blocks, from 1 on.
std::size_t line_of(const Attachment& attachment, std::size_t offset);

}  // namespace kb
