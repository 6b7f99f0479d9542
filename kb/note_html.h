// A note with its blocks as an HTML page.
#pragma once

#include <string>

#include "kb/blocks.h"

namespace kb {

// The note word for word (line ends kept, markup inert, invalid bytes as U+FFFD) with each block beside
// what it belongs to. One page without scripts or outside references; prints, follows a dark setting.
std::string note_html(const Attachment& attachment, const Knowledge& knowledge, bool stamp);

}  // namespace kb
