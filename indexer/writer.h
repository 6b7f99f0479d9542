// The corpus as one database file (kb/database.h describes it).
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "indexer/corpus.h"

namespace indexer {

// What goes into the database beside the corpus itself.
struct Extras {
  std::vector<std::string> general_words;  // Sorted, each once.
  std::string digest;                      // The eight hex digits after the version.
};

// Writes a corpus without problems to `target`: under a temporary name in the same folder, in one
// transaction, checked, synced, reopened and counted, then renamed over `target`. The same corpus
// gives the same bytes with the same SQLite. Returns the size of the file. Throws kb::Error on any
// failure; `target` is then as it was, and the temporary file is gone.
std::uintmax_t write_database(const Corpus& corpus, const Extras& extras,
                              const std::string& target);

// "2026.11+0123abcd"
std::string full_version(const Corpus& corpus, const Extras& extras);

}  // namespace indexer
