// `letbe note` over a file that holds a note in each row.
#pragma once

#include <string>

#include "cli/commands.h"
#include "kb/blocks.h"

namespace cli {

enum class RowForm { none, csv, jsonl };

// By --from, else by the file's ending.
RowForm row_form(const NoteCommand& command);
// What of the command does not go with rows, as a line for the writer; empty when all does.
std::string wrong_for_rows(const NoteCommand& command);
// Reads row by row and answers row by row. A row that cannot be read is named (file:line) and passed over;
// in CSV it is written back as it was.
int run_rows(const NoteCommand& command, RowForm form, const kb::Knowledge& knowledge, const kb::AttachOptions& options);

}  // namespace cli
