// A note in short: each suspect material once, the most urgent first, and what the note does not speak of.
#pragma once

#include <string>
#include <vector>

#include "kb/blocks.h"

namespace kb {

// One place where the note reports it.
struct Sighting {
  std::string place, extent;        // The note's own words; each may be empty.
  ConditionSet conditions = 0;
  std::string severity, tested;
  Span observation;                 // In the note without blocks.
};

struct SummaryItem {
  std::string id, title;
  std::vector<std::string> other_readings;  // Ids.
  bool named = false, hearsay = false;
  ConditionSet conditions = 0;
  std::string severity, tested, advice, because;  // As of a Finding; the strongest over the note.
  std::vector<Sighting> seen;       // In the order of the note.
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

// The summary as rows and cells; the first row holds the names of the columns.
std::vector<std::vector<std::string>> summary_table(const Summary& summary, const Attachment& attachment, const Knowledge& knowledge);

// The line of an offset in the note without blocks, from 1 on.
std::size_t line_of(const Attachment& attachment, std::size_t offset);

}  // namespace kb
