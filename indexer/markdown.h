// The markdown below the front matter, cut at its headings. Only markdown.cpp includes cmark.
#pragma once

#include <string_view>
#include <vector>

#include "indexer/page.h"
#include "indexer/problem.h"

namespace indexer {

// The sections of `text`, whose first line is `first`. Reports raw HTML, images, web links,
// headings of level 1 or underlined ones, and text before the first section. Order and names of the
// sections are not looked at.
std::vector<Section> read_sections(std::string_view text, Place first, Problems& problems);

}  // namespace indexer
