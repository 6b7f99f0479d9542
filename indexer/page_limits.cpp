#include "indexer/page_limits.h"

#include <algorithm>
#include <cstdio>
#include <optional>
#include <string>

#include "indexer/front_matter.h"
#include "kb/readability.h"
#include "kb/text.h"

namespace indexer {
namespace {

constexpr std::string_view kHomeowner = "For the homeowner";
constexpr std::string_view kReport = "Report wording";
constexpr std::string_view kMistaken = "Easily mistaken for";
// How a section begins that says why there is no look-alike page.
constexpr std::string_view kNone = "None";

bool for_homeowner(const Page& page, const Section& section) {
  return page.kind->name == "homeowner" || section.heading == kHomeowner;
}

bool length_has_reason(const Page& page) {
  const Value* sources = page.front.find("sources");
  if (sources == nullptr) return false;
  for (const Value& source : sources->items)
    for (const Text& backed : texts_under(source, "backs"))
      if (backed.text == "length" && source.find("note") != nullptr) return true;
  return false;
}

void check_length(const Page& page, const HouseStyle& style, Problems& problems) {
  int words = 0;
  for (const Section& section : page.sections)
    for (const Passage& passage : section.passages) words += kb::count_words(passage.text);
  const bool short_page = words < style.least_words;
  if (words == 0) return;  // Its missing sections have been reported.
  if ((!short_page && words <= style.most_words) || length_has_reason(page)) return;
  const int bound = short_page ? style.least_words : style.most_words;
  problems.add(Rule::page_length, {page.end.file, 1},
               "the page has " + std::to_string(words) + " words; at " +
                   (short_page ? "least " : "most ") + std::to_string(bound) +
                   ", or give the reason in the note of a source that backs 'length'");
}

void check_grade(const Page& page, const HouseStyle& style, Problems& problems) {
  std::optional<Place> place;
  for (const Section& section : page.sections)
    if (!place && for_homeowner(page, section)) place = section.place;
  const double grade = kb::flesch_kincaid_grade(kb::count_reading(homeowner_text(page)));
  if (!place || grade <= style.homeowner_grade) return;
  char shown[32];
  std::snprintf(shown, sizeof shown, "%.1f; at most %.0f", grade, style.homeowner_grade);
  problems.add(Rule::hard_to_read, *place,
               "what the homeowner reads has school grade " + std::string(shown) +
                   ", so use shorter sentences and shorter words");
}

void check_material(const Page& page, Problems& problems) {
  bool reason = false;
  for (const Section& section : page.sections)
    if (section.heading == kMistaken && section.body.starts_with(kNone)) reason = true;
  if (texts_under(page.front, "mistaken-for").empty() && !reason)
    problems.add(Rule::no_look_alike, {page.end.file, 1},
                 "no entry under 'mistaken-for'; name one, or begin '" + std::string(kMistaken) +
                     "' with 'None' and say why");
  if (texts_under(page.front, "cautions").empty())
    problems.add(Rule::no_look_alike, {page.end.file, 1},
                 "no entry under 'cautions'; name the caution that an inspector needs first");
}

// The standing paragraph is all that a client reads of the limits: each stays, in whatever words.
void check_standing(const Page& page, const HouseStyle& style, Problems& problems) {
  for (const Section& section : page.sections) {
    if (section.heading != kReport) continue;
    const std::string said = kb::fold(section.body);
    for (const std::vector<std::string>& row : style.standing) {
      const bool told = std::any_of(row.begin(), row.end(), [&](const std::string& w) { return said.find(w) != std::string::npos; });
      if (!told)
        problems.add(Rule::standing_limits, section.place,
                     "the standing paragraph of every note leaves out a limit; say '" + row.front() + "'" + (row.size() > 1 ? " (or '" + row[1] + "')" : ""));
    }
  }
}

}  // namespace

std::string homeowner_text(const Page& page) {
  std::string out;
  for (const Section& section : page.sections) {
    if (!for_homeowner(page, section)) continue;
    for (const Passage& passage : section.passages) out += passage.text + '\n';
  }
  return out;
}

void check_limits(const Page& page, const HouseStyle& style, Problems& problems) {
  if (!style.present) return;
  check_length(page, style, problems);
  check_grade(page, style, problems);
  if (page.kind->name == "material") check_material(page, problems);
  if (page.id == style.standing_page) check_standing(page, style, problems);
}

}  // namespace indexer
