// The drawings beside pages: one SVG file, read and checked by itself.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "indexer/problem.h"

namespace indexer {

// The drawing of the page `id` in the file `path`, which holds `bytes`, as it is stored: in the form of
// kb/drawing.h. Nothing when something is wrong with it; that is reported. `path` must outlive the problems.
std::optional<std::string> read_drawing(std::string_view path, std::string_view bytes, std::string_view id,
                                        Problems& problems);

}  // namespace indexer
