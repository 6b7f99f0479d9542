// Why each block is there and each thing was left out, in the note's own words.
#pragma once

#include <string>

#include "kb/blocks.h"

namespace cli {

// Lines for standard error, made harmless for a terminal.
std::string reasons(const kb::Attachment& attachment, const kb::Knowledge& knowledge);

}  // namespace cli
