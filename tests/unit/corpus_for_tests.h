// The corpus for tests: the one built into the program, or the file that LETBE_TEST_DB names, so that
// the same checks can be put to changed articles.
#pragma once

#include <cstdlib>

#include "cli/source.h"
#include "kb/knowledge.h"

inline const kb::Database& test_database() {
  static const kb::Database db = [] {
    const char* other = std::getenv("LETBE_TEST_DB");
    return other != nullptr && *other != '\0' ? kb::Database::from_file(other)
                                              : kb::Database::over_image(cli::built_in_image());
  }();
  return db;
}

inline const kb::Knowledge& test_knowledge() {
  static const kb::Knowledge knowledge = kb::load_knowledge(test_database());
  return knowledge;
}
