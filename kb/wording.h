// The text of a block: reviewed sentences, chosen and ordered, with the note's own place and extent.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "kb/reading.h"

namespace kb {

// Fills `finding.attached`: where it was noted, why it is suspect, its state and the caution, where
// else to look. At most wording.yaml's `words.most` words (`brief` fewer); what does not fit is left
// out from the end of the order, never the base or the strongest state.
void compose(std::string_view note, const Knowledge& knowledge, const Observation& layout, bool brief, Finding& finding);

// The same for a homeowner: what the article says "For the homeowner", with the place before it and the
// advice behind it, in plain words. Longer than a report's block: the page's section is not cut.
void compose_plain(std::string_view note, const Knowledge& knowledge, const Observation& layout, Finding& finding);

// Where a finding was noted, in the note's own words on one line; each may be empty.
struct Where {
  std::string place, extent;
};
Where where_noted(std::string_view note, const Knowledge& knowledge, const Observation& layout, const Finding& finding);

// The paragraph of a finding: its parts joined by blanks.
std::string paragraph(const Finding& finding);

// The paragraph that stands once a note, after the last block; id and text.
Attached standard_paragraph(const Knowledge& knowledge, bool plain = false);

// Is `text` a paragraph that compose(), compose_plain() or standard_paragraph() can have written under the title of
// article `id`? Each sentence must be the article's or a fixed one; place and extent may be any words,
// as many as compose() writes at most and without a sentence's end among them.
bool may_have_written(const Knowledge& knowledge, const std::string& id, std::string_view text);

}  // namespace kb
