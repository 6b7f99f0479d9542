// Comma-separated values (RFC 4180) on their way out.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace kb {

// One row with its line end; a cell is quoted where it holds the delimiter, a quote, a line end or a
// blank at either end.
std::string csv_row(const std::vector<std::string>& cells, char delimiter = ',', std::string_view line_end = "\n");

}  // namespace kb
