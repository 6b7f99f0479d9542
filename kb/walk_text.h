// A walk as markdown, as a page to print and as JSON.
#pragma once

#include <string>

#include "kb/walk.h"

namespace kb {

// The whole list, the standing limits below. `boxes`: each item begins with an empty check box ("[ ]").
std::string walk_markdown(const Walk& walk, bool boxes);

// A page with a check box at each item and without scripts; printed it takes two sheets at most.
std::string walk_html(const Walk& walk, const std::string& corpus_version);

// {"schema","built","systems","seen","first":[item + "beside","same_system"],"places":[{"id","title",
// "protect","materials":[item],"also":[ids],"reuse":[ids]}],"limits"}; an item is {"id","title","look",
// "fit","from","to","soft_end","friability","mark","with"}.
std::string walk_json(const Walk& walk);

}  // namespace kb
