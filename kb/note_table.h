// A reading as rows and cells, for spreadsheets.
#pragma once

#include <string>
#include <vector>

#include "kb/blocks.h"

namespace kb {

// What a note gives, one row a material that got a block, was left out, or a remark to the writer; the
// first row holds the names of the columns.
std::vector<std::vector<std::string>> note_table(const Attachment& attachment, const Knowledge& knowledge);

// The columns that a row's note adds to its row, and their cells in the same order. Their names begin
// with "letbe_", so that they are told from the writer's own.
const std::vector<std::string>& row_columns();
std::vector<std::string> row_cells(const Attachment& attachment, const Knowledge& knowledge);

}  // namespace kb
