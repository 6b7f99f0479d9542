// The corpus as one database file (kb/database.h describes it).
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "indexer/checks.h"
#include "indexer/corpus.h"
#include "kb/atomic_file.h"

namespace indexer {

// What goes into the database beside the corpus itself.
struct Extras {
  std::vector<std::string> general_words;  // Sorted, each once.
  std::string digest;                      // The eight hex digits after the version.
};

// Writes a corpus page by page: into a temporary file in the folder of `target`, in one transaction,
// which is checked, synced, reopened, counted and renamed over `target` at the end. The same corpus gives
// the same bytes with the same SQLite. Without finish() nothing is left and `target` is as it was; so it
// is after any failure, which is a kb::Error.
class DatabaseWriter {
 public:
  // `lexicon` is made from word_rules(); all must outlive the writer.
  DatabaseWriter(const Corpus& corpus, kb::Lexicon& lexicon, const std::string& target);
  ~DatabaseWriter();

  // The pages in the order of the corpus.
  void add(const Page& page, const std::vector<NameKey>& names);
  // Writes all else. Returns the size of the file in bytes.
  std::uintmax_t finish(const Extras& extras);

 private:
  class Tables;
  // Does `work`, and tells of a full disk under the name of the target.
  template <typename Work>
  void on_disk(Work work);

  const Corpus& corpus_;
  kb::AtomicFile file_;
  std::unique_ptr<Tables> tables_;
};

// "2026.11+0123abcd"
std::string full_version(const Corpus& corpus, const Extras& extras);

}  // namespace indexer
