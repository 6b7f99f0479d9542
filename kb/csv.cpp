#include "kb/csv.h"

namespace kb {

std::string csv_row(const std::vector<std::string>& cells, char delimiter, std::string_view line_end) {
  std::string out;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    const std::string& cell = cells[i];
    if (i > 0) out += delimiter;
    const bool quoted = cell.find_first_of(std::string("\"\r\n") + delimiter) != std::string::npos ||
                        (!cell.empty() && (cell.front() == ' ' || cell.back() == ' '));
    if (!quoted) {
      out += cell;
      continue;
    }
    out += '"';
    for (const char c : cell) {
      if (c == '"') out += '"';
      out += c;
    }
    out += '"';
  }
  out += line_end;
  return out;
}

}  // namespace kb
