// What each command does with what was typed. Options are plain values; main.cpp fills them.
// Each command returns an exit code and throws kb::Error for bad input and for a failing machine.
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace cli {

enum ExitCode : int {
  kDone = 0,
  kNothing = 1,   // Nothing found, or nothing to attach.
  kWrongUse = 2,
  kBadInput = 3,
};

struct FindCommand {
  std::string db, system, kind, place, reader;
  std::vector<std::string> words;
  std::optional<int> built;
  std::size_t most = 10;
  bool why = false, json = false;
};

struct ReadCommand {
  std::string db, id, reader, output;
  bool json = false, html = false;
};

struct NoteCommand {
  std::string db, file, output;
  std::string from;                    // text, csv, jsonl, or empty: by the file's ending.
  std::string column = "note";         // Of a row: the note.
  std::string built_column = "built";  // Of a row: the year the house was built, when there is such a column.
  std::string as;                      // text, markdown, html, json, jsonl, csv; empty: text, and for rows as they came.
  std::string reader;                  // homeowner, or empty: the report's reader.
  std::optional<int> built;
  bool why = false, brief = false, stamp = true, strip = false, refresh = false, summary = false;
};

struct WalkCommand {
  std::string db, output;
  std::string as;  // text, markdown, html, json; empty: text.
  int built = 0;
  std::vector<std::string> systems, seen;
};

struct ChartCommand {
  std::string db, system, output;
  std::string as;  // text, svg, markdown; empty: text.
  std::optional<int> built;
};

struct ListCommand {
  std::string db, kind;
  bool json = false;
};

struct AboutCommand {
  std::string db;
  bool json = false, advice = false;
};

int run_find(const FindCommand& command);
int run_read(const ReadCommand& command);
int run_note(const NoteCommand& command);
int run_walk(const WalkCommand& command);
int run_chart(const ChartCommand& command);
int run_list(const ListCommand& command);
int run_about(const AboutCommand& command);

// Writes `text` to standard error as it is.
void to_standard_error(const std::string& text);

// Prints one line "letbe: MESSAGE" on standard error, made harmless for a terminal.
void complain(const std::string& message);

}  // namespace cli
