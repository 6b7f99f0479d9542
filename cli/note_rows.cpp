#include "cli/note_rows.h"

#include <algorithm>
#include <charconv>
#include <chrono>

#include "cli/input.h"
#include "cli/output.h"
#include "cli/rows.h"
#include "cli/terminal.h"
#include "kb/csv.h"
#include "kb/error.h"
#include "kb/json_text.h"
#include "kb/note_table.h"

namespace cli {
namespace {

constexpr std::size_t kRowsPerLook = 1024;  // Rows between two looks at the clock.

bool ends_with(const std::string& file, const char* ending) {
  std::string low = file;
  for (char& c : low) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return low.ends_with(ending);
}

// "1956" as a year; nothing for an empty cell or anything else.
std::optional<int> year_of(std::string_view text) {
  int year = 0;
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), year);
  if (error != std::errc() || end != text.data() + text.size() || year < 1500 || year > 2100) return std::nullopt;
  return year;
}

// A line on a terminal that tells how far a long run is. Shown after a second, wiped at the end.
class Progress {
 public:
  explicit Progress(const Input& input) : input_(input), tty_(describe_terminal(2).tty) {}
  ~Progress() {
    if (shown_) to_standard_error("\r\x1B[K");
  }
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;

  void row() {
    if (++rows_ % kRowsPerLook != 0 || !tty_) return;
    const auto now = Clock::now();
    if (now - last_ < std::chrono::seconds(1)) return;
    last_ = now;
    shown_ = true;
    std::string line = "\rletbe: " + std::to_string(rows_) + " rows";
    if (input_.size() && *input_.size() > 0) line += ", " + std::to_string(100 * input_.bytes_read() / *input_.size()) + " %";
    to_standard_error(line + "\x1B[K");
  }
  // Before a message: what is shown must not be run into.
  void wipe() {
    if (shown_) to_standard_error("\r\x1B[K");
  }

 private:
  using Clock = std::chrono::steady_clock;
  const Input& input_;
  bool tty_;
  bool shown_ = false;
  std::size_t rows_ = 0;
  Clock::time_point last_ = Clock::now();
};

// What both forms of rows share: reading a note, writing its answer, counting.
class Rows {
 public:
  Rows(const NoteCommand& command, const kb::Knowledge& knowledge, const kb::AttachOptions& options)
      : command_(command), knowledge_(knowledge), options_(options), input_(command.file), out_(command.output), progress_(input_) {}

  int run(RowForm form) {
    form == RowForm::csv ? csv() : json_lines();
    out_.finish();
    return bad_ > 0 ? kBadInput : blocks_ > 0 ? kDone : kNothing;
  }

 private:
  kb::Attachment read(std::string note, std::optional<int> built) {
    kb::AttachOptions options = options_;
    options.text = false;
    if (!options.read.built) options.read.built = built;
    kb::Attachment attachment = kb::attach(std::move(note), knowledge_, options);
    blocks_ += attachment.blocks;
    return attachment;
  }

  void complain_of(std::size_t line, const std::string& what) {
    ++bad_;
    progress_.wipe();
    complain((command_.file.empty() ? std::string("-") : command_.file) + ":" + std::to_string(line) + ": " + what);
  }

  // False when nobody reads any more.
  bool row_done() {
    progress_.row();
    return out_.open();
  }

  void json_lines() {
    LineReader lines(input_);
    std::string line;
    std::size_t number = 0;
    if (as_csv()) out_.add(kb::csv_row(with_columns({command_.column})));
    while (lines.next(line, number)) {
      try {
        kb::JsonRow row = kb::row_of_json_line(line, command_.column, command_.built_column);
        if (as_csv()) {
          std::vector<std::string> cells{row.note};
          out_.add(csv_cells(std::move(cells), read(std::move(row.note), year_of(row.built))));
        } else {
          out_.add(kb::row_json(read(std::move(row.note), year_of(row.built)), knowledge_, row.others));
        }
      } catch (const kb::Error& e) {
        complain_of(number, e.what());
      }
      if (!row_done()) return;
    }
  }

  void csv() {
    CsvReader reader(input_);
    CsvRow row;
    if (!reader.next(row)) return;
    delimiter_ = reader.delimiter();
    line_end_ = reader.carriage_returns() ? "\r\n" : "\n";
    if (!head(row)) return;
    const std::size_t width = row.cells.size();
    while (reader.next(row)) {
      if (row.cells.size() > width) {
        complain_of(row.line, "this row has " + std::to_string(row.cells.size()) + " cells and the first row " + std::to_string(width) +
                                  "; put a cell with a '" + std::string(1, delimiter_) + "' in it in double quotes");
        if (command_.strip || as_csv()) out_.add(kb::csv_row(row.cells, delimiter_, line_end_));
      } else {
        row.cells.resize(width);
        csv_row(row);
      }
      if (!row_done()) return;
    }
  }

  // Finds the columns and writes the first row. False when there is no note in the file.
  bool head(const CsvRow& row) {
    names_ = row.cells;
    const auto place = std::find(names_.begin(), names_.end(), command_.column);
    if (place == names_.end() && !command_.strip) {
      std::string have;
      for (const std::string& n : names_) have += (have.empty() ? "" : ", ") + n;
      complain_of(row.line, "no column '" + command_.column + "'; name the note's column with --column (there are: " + have + ")");
      return false;
    }
    note_ = static_cast<std::size_t>(place - names_.begin());
    const auto built = std::find(names_.begin(), names_.end(), command_.built_column);
    built_ = static_cast<std::size_t>(built - names_.begin());
    // Columns of an earlier run are written anew.
    for (const std::string& n : names_) {
      const auto& ours = kb::row_columns();
      kept_.push_back(std::find(ours.begin(), ours.end(), n) == ours.end());
    }
    if (command_.strip) out_.add(kb::csv_row(kept(names_), delimiter_, line_end_));
    if (!command_.strip && as_csv()) out_.add(kb::csv_row(with_columns(kept(names_)), delimiter_, line_end_));
    return true;
  }

  void csv_row(CsvRow& row) {
    if (command_.strip) return out_.add(kb::csv_row(kept(row.cells), delimiter_, line_end_));
    const std::string built = built_ < row.cells.size() ? row.cells[built_] : std::string();
    const kb::Attachment attachment = read(row.cells[note_], year_of(built));
    if (as_csv()) return out_.add(csv_cells(kept(row.cells), attachment));
    std::vector<std::pair<std::string, std::string>> others;
    for (std::size_t i = 0; i < row.cells.size(); ++i)
      if (i != note_ && kept_[i]) others.emplace_back(names_[i], row.cells[i]);
    out_.add(kb::row_json(attachment, knowledge_, kb::json_of(others)));
  }

  bool as_csv() const { return command_.as == "csv"; }

  std::vector<std::string> kept(const std::vector<std::string>& cells) const {
    std::vector<std::string> out;
    for (std::size_t i = 0; i < cells.size(); ++i)
      if (i >= kept_.size() || kept_[i]) out.push_back(cells[i]);
    return out;
  }

  static std::vector<std::string> with_columns(std::vector<std::string> cells) {
    const auto& names = kb::row_columns();
    cells.insert(cells.end(), names.begin(), names.end());
    return cells;
  }

  std::string csv_cells(std::vector<std::string> cells, const kb::Attachment& attachment) const {
    for (std::string& cell : kb::row_cells(attachment, knowledge_)) cells.push_back(std::move(cell));
    return kb::csv_row(cells, delimiter_, line_end_);
  }

  const NoteCommand& command_;
  const kb::Knowledge& knowledge_;
  const kb::AttachOptions& options_;
  Input input_;
  OutputFile out_;
  Progress progress_;
  std::vector<std::string> names_;
  std::vector<bool> kept_;
  std::size_t note_ = 0, built_ = 0;
  char delimiter_ = ',';
  std::string line_end_ = "\n";
  int blocks_ = 0, bad_ = 0;
};

}  // namespace

RowForm row_form(const NoteCommand& command) {
  if (command.from == "csv") return RowForm::csv;
  if (command.from == "jsonl") return RowForm::jsonl;
  if (!command.from.empty()) return RowForm::none;
  if (ends_with(command.file, ".csv") || ends_with(command.file, ".tsv")) return RowForm::csv;
  return ends_with(command.file, ".jsonl") || ends_with(command.file, ".ndjson") ? RowForm::jsonl : RowForm::none;
}

std::string wrong_for_rows(const NoteCommand& command) {
  if (command.summary) return "--summary is for one note; give the rows' notes one by one";
  if (command.why) return "--why is for one note; the answer to each row says why";
  if (command.strip && row_form(command) == RowForm::jsonl) return "JSON lines are never changed, so there is nothing to strip";
  if (!command.as.empty() && command.as != "csv" && command.as != "jsonl") return "rows are answered with rows: give --as csv or --as jsonl, or --from text for one note";
  return {};
}

int run_rows(const NoteCommand& given, RowForm form, const kb::Knowledge& knowledge, const kb::AttachOptions& options) {
  NoteCommand command = given;
  if (command.as.empty()) command.as = form == RowForm::csv ? "csv" : "jsonl";
  return Rows(command, knowledge, options).run(form);
}

}  // namespace cli
