// Files that hold a note in each row: CSV and JSON lines, read row by row in memory that does not grow
// with the file.
#pragma once

#include <csv.h>

#include <deque>
#include <string>
#include <vector>

#include "cli/input.h"

namespace cli {

inline constexpr std::size_t kLargestRow = std::size_t{16} << 20;  // Bytes.

struct CsvRow {
  std::vector<std::string> cells;
  std::size_t line = 1;  // Of the file, where the row begins.
};

// RFC 4180 and its usual kin: comma, semicolon or tab, told by the first line; quoted cells may hold line
// ends; blank lines are passed over. A byte-order mark is left out. Cells come as they are, spaces kept.
class CsvReader {
 public:
  explicit CsvReader(Input& input);
  ~CsvReader();
  CsvReader(const CsvReader&) = delete;
  CsvReader& operator=(const CsvReader&) = delete;

  // False at the end. Throws kb::Error for a row over kLargestRow and for a quote that never ends.
  bool next(CsvRow& row);
  char delimiter() const { return delimiter_; }
  bool carriage_returns() const { return carriage_returns_; }  // Does the first line end in CR LF?

 private:
  void read_more();
  void parse(std::string_view part);
  static void cell(void* bytes, std::size_t size, void* self);
  static void end_of_row(int sign, void* self);

  Input& input_;
  csv_parser parser_{};
  std::deque<CsvRow> rows_;
  CsvRow open_;
  std::size_t line_ = 1, open_bytes_ = 0;
  bool begun_ = false, ended_ = false, carriage_returns_ = false;
  char delimiter_ = ',';
};

// Lines, without their ends; blank ones are passed over.
class LineReader {
 public:
  explicit LineReader(Input& input) : input_(input) {}

  // False at the end. Throws kb::Error for a line over kLargestRow.
  bool next(std::string& line, std::size_t& number);

 private:
  Input& input_;
  std::string buffer_;
  std::size_t at_ = 0, number_ = 0;
  bool ended_ = false;
};

}  // namespace cli
