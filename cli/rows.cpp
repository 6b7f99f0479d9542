#include "cli/rows.h"

#include <algorithm>

#include "kb/error.h"

namespace cli {
namespace {

constexpr std::size_t kPart = std::size_t{1} << 16;
constexpr std::string_view kMark = "\xEF\xBB\xBF";

// Blanks around a cell are the writer's; nothing is trimmed.
int no_space(unsigned char) { return 0; }

std::string too_large(const Input& input, std::size_t line) {
  return input.name() + ": the row that begins in line " + std::to_string(line) + " is larger than " + std::to_string(kLargestRow >> 20) +
         " MiB; is a quote missing?";
}

// The sign of three that stands most often outside quotes in the first line.
char delimiter_of(std::string_view first_line) {
  char best = ',';
  std::ptrdiff_t most = 0;
  for (const char sign : {',', ';', '\t'}) {
    std::ptrdiff_t n = 0;
    bool quoted = false;
    for (const char c : first_line) {
      if (c == '"') quoted = !quoted;
      if (c == sign && !quoted) ++n;
    }
    if (n > most) {
      most = n;
      best = sign;
    }
  }
  return best;
}

}  // namespace

CsvReader::CsvReader(Input& input) : input_(input) {
  if (csv_init(&parser_, CSV_STRICT_FINI) != 0) throw kb::Error("the reader of comma-separated values cannot start");
  csv_set_space_func(&parser_, no_space);
}

CsvReader::~CsvReader() { csv_free(&parser_); }

void CsvReader::cell(void* bytes, std::size_t size, void* self) {
  auto& reader = *static_cast<CsvReader*>(self);
  reader.open_.cells.emplace_back(static_cast<const char*>(bytes), size);
}

void CsvReader::end_of_row(int, void* self) {
  auto& reader = *static_cast<CsvReader*>(self);
  reader.rows_.push_back(std::move(reader.open_));
  reader.open_ = {};
  reader.open_bytes_ = 0;
}

// Line by line, so that each row knows where it begins.
void CsvReader::parse(std::string_view part) {
  while (!part.empty()) {
    const std::size_t end = part.find('\n');
    const std::string_view line = part.substr(0, end == std::string_view::npos ? part.size() : end + 1);
    if (open_bytes_ == 0) open_.line = line_;
    open_bytes_ += line.size();
    const std::size_t rows = rows_.size();
    if (csv_parse(&parser_, line.data(), line.size(), cell, end_of_row, this) != line.size())
      throw kb::Error(input_.name() + ":" + std::to_string(open_.line) + ": " + csv_strerror(csv_error(&parser_)));
    if (end != std::string_view::npos) ++line_;
    // A line end outside quotes: the next line begins a row, whether this one was blank or not.
    if (rows != rows_.size() || (open_.cells.empty() && parser_.pstate == 0)) open_bytes_ = 0;
    if (open_bytes_ > kLargestRow) throw kb::Error(too_large(input_, open_.line));
    part.remove_prefix(line.size());
  }
}

void CsvReader::read_more() {
  std::string part(kPart, '\0');
  std::size_t got = input_.read(part.data(), part.size());
  if (!begun_) {
    // The first line tells the delimiter; it is waited for.
    while (got > 0 && part.find('\n') >= got && got < kLargestRow) {
      part.resize(got + kPart);
      const std::size_t more = input_.read(part.data() + got, kPart);
      if (more == 0) break;
      got += more;
    }
    begun_ = true;
    part.resize(got);
    if (part.starts_with(kMark)) part.erase(0, kMark.size());
    got = part.size();
    const std::size_t end = std::min(part.find('\n'), part.size());
    delimiter_ = delimiter_of(std::string_view(part).substr(0, end));
    carriage_returns_ = end > 0 && end < part.size() && part[end - 1] == '\r';
    csv_set_delim(&parser_, static_cast<unsigned char>(delimiter_));
    if (got > 0) return parse(part);
  }
  if (got == 0) {
    ended_ = true;
    const std::size_t line = open_.line;
    if (csv_fini(&parser_, cell, end_of_row, this) != 0)
      throw kb::Error(input_.name() + ":" + std::to_string(line) + ": a quote is opened in this row and never closed; close it, or double it to write a quote");
    return;
  }
  parse(std::string_view(part).substr(0, got));
}

bool CsvReader::next(CsvRow& row) {
  while (rows_.empty() && !ended_) read_more();
  if (rows_.empty()) return false;
  row = std::move(rows_.front());
  rows_.pop_front();
  return true;
}

bool LineReader::next(std::string& line, std::size_t& number) {
  while (true) {
    const std::size_t end = buffer_.find('\n', at_);
    if (end != std::string::npos || (ended_ && at_ < buffer_.size())) {
      line.assign(buffer_, at_, (end == std::string::npos ? buffer_.size() : end) - at_);
      at_ = end == std::string::npos ? buffer_.size() : end + 1;
      number = ++number_;
      if (number_ == 1 && line.starts_with(kMark)) line.erase(0, kMark.size());
      if (line.find_first_not_of(" \t\r") != std::string::npos) return true;
      continue;
    }
    if (ended_) return false;
    buffer_.erase(0, at_);
    at_ = 0;
    if (buffer_.size() > kLargestRow)
      throw kb::Error(input_.name() + ":" + std::to_string(number_ + 1) + ": this line is larger than " + std::to_string(kLargestRow >> 20) + " MiB; split it");
    const std::size_t had = buffer_.size();
    buffer_.resize(had + kPart);
    const std::size_t got = input_.read(buffer_.data() + had, kPart);
    buffer_.resize(had + got);
    ended_ = got == 0;
  }
}

}  // namespace cli
