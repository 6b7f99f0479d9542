// Where the corpus comes from: the database built into the program, or a file.
#pragma once

#include <span>
#include <string>

#include "kb/database.h"

namespace cli {

// The database image linked into the program, trailer included.
std::span<const unsigned char> built_in_image();

// The file of --db when it is not empty, else that of LETBE_DB when set and not empty, else none.
std::string database_path(const std::string& option);

// Opens the database of database_path(), or the one built in. Throws kb::Error.
kb::Database open_database(const std::string& option);

}  // namespace cli
