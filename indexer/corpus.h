// The whole corpus: the pages of all folders laid over each other, and the vocabulary.
//
// Overriding. The first folder holds the corpus. A file of a later folder at the same relative path
// overrides it:
// - a page: its front matter needs only `id` and `kind`; any other key in it replaces the same key.
//   Each section of level 2 in it, with its level 3 ones, replaces the section of that name whole;
//   in kinds with free sections a new one comes last. Everything else stays.
// - a vocabulary file: its words are added, a single value in it replaces ours; some files are letbe's own.
// - corpus.yaml: replaces the version.
// - a drawing: replaces the whole drawing.
// A page that no earlier folder has is a new one and must be whole.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "indexer/corpus_source.h"
#include "indexer/front_matter.h"
#include "indexer/page.h"
#include "indexer/problem.h"
#include "kb/lexicon.h"

namespace indexer {

// One file of a page. Those of one page stand together, the whole one first.
struct PageFile {
  const Kind* kind;
  std::string_view id;  // The file's name without its ending.
  const SourceFile* file;
};

// Everything but the text of the pages, which are read one by one; see PageReader.
struct Corpus {
  std::string version;                            // As corpus.yaml says, without the digest.
  std::map<std::string_view, const Kind*> kinds;  // By id: what there is to link to.
  std::vector<PageFile> pages;                    // By kind in the design's order, then id, then folder.
  std::map<std::string_view, std::vector<const SourceFile*>> drawings;  // By the id of their page, in order of folders.
  std::map<std::string, Value> vocabulary;        // By file name without its ending.
};

// Reads all files but the pages, lays the folders over each other and checks each file by itself; see
// checks.h for the rest. `sources` must outlive the corpus. `digest` is given every file read.
Corpus assemble(const Sources& sources, Problems& problems, CorpusDigest* digest = nullptr);

// Reads the pages of `corpus` in its order, those of later folders laid over them.
class PageReader {
 public:
  // What is wrong with a file by itself goes to `problems`; `digest` is given every page read.
  PageReader(const Corpus& corpus, Problems& problems, CorpusDigest* digest = nullptr)
      : corpus_(corpus), problems_(problems), digest_(digest) {}
  // Reads them once more, their sections alone and without a check.
  static PageReader again(const Corpus& corpus, Problems& problems);

  // The next page that can be read as one; nothing at the end.
  std::optional<Page> next();
  // Files read so far, overriding ones counted too.
  int files() const { return files_; }

 private:
  std::optional<Page> read(std::size_t first, std::size_t end);
  void take_drawing(Page& page);

  const Corpus& corpus_;
  Problems& problems_;
  CorpusDigest* digest_;
  std::size_t at_ = 0;
  int files_ = 0;
  bool again_ = false;
  std::string buffer_;
};

// What vocabulary/words.yaml says; empty rules where it says nothing.
kb::WordRules word_rules(const Corpus& corpus);

// A name that several articles share, from vocabulary/shared-names.yaml.
struct SharedName {
  std::string name;
  std::vector<std::string> ids;
  Place place;
};
std::vector<SharedName> shared_names(const Corpus& corpus);

}  // namespace indexer
