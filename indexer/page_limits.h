// How long and how hard to read a page may be, and what a material must not go without.
#pragma once

#include "indexer/house_style.h"
#include "indexer/page.h"
#include "indexer/problem.h"

namespace indexer {

// Reports a page out of the limits of house-style.yaml: its words, unless a source that backs
// `length` gives the reason; the school grade of what a homeowner reads; a material without a
// look-alike or caution.
void check_limits(const Page& page, const HouseStyle& style, Problems& problems);

// What the homeowner reads on `page`, one passage a line: the section of that name, or a homeowner
// page whole.
std::string homeowner_text(const Page& page);

}  // namespace indexer
