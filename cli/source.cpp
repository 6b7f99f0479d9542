#include "cli/source.h"

#include <sqlite3.h>

#include <cstdlib>

// Set by cli/image.S.in around the database's bytes.
extern "C" const unsigned char letbe_image_begin[];
extern "C" const unsigned char letbe_image_end[];

namespace cli {

std::span<const unsigned char> built_in_image() { return {letbe_image_begin, letbe_image_end}; }

std::string database_path(const std::string& option) {
  if (!option.empty()) return option;
  const char* environment = std::getenv("LETBE_DB");
  return environment == nullptr ? std::string() : std::string(environment);
}

kb::Database open_database(const std::string& option) {
  // One thread, and nobody asks how much memory SQLite uses: no locks and no counting.
  static const bool set = sqlite3_config(SQLITE_CONFIG_SINGLETHREAD) == SQLITE_OK &&
                          sqlite3_config(SQLITE_CONFIG_MEMSTATUS, 0) == SQLITE_OK;
  static_cast<void>(set);
  const std::string path = database_path(option);
  return path.empty() ? kb::Database::over_image(built_in_image()) : kb::Database::from_file(path);
}

}  // namespace cli
