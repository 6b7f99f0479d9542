// The folders of articles on disk: listed first, then read file by file.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "indexer/page.h"
#include "indexer/problem.h"
#include "kb/sha256.h"

namespace indexer {

// The files of one DIR, by their relative paths in byte order.
struct SourceFolder {
  std::string path;  // As given, without a slash at its end.
  std::vector<SourceFile> files;
};

// Several folders in the order given: a later one overrides earlier ones. Places in messages point
// into it, so it must outlive every page, problem and corpus made from it, and must not change.
using Sources = std::vector<SourceFolder>;

// Lists corpus.yaml, <folder of a kind>/*.md and *.svg, and vocabulary/*.yaml below `path`, and reads
// none of them. Hidden files, backup copies (x~) and a README.md at the top are passed over; other
// files and unknown folders are reported. Throws kb::Error when `path` is no readable folder.
SourceFolder list_folder(const std::string& path, Problems& problems);

// The bytes of `file`: its own, or those read from its path into `buffer`. Nothing, and a problem, when
// they cannot be read or are more than 16 MiB.
std::optional<std::string_view> bytes_of(const SourceFile& file, std::string& buffer, Problems& problems);

// The words of a word list, one a line: those of letters and inner apostrophes only, folded,
// sorted, each once. `bytes`, when given, receives the file. Throws kb::Error, naming the package
// that brings the list, when it cannot be read.
std::vector<std::string> read_word_list(const std::string& path, std::string* bytes);

// The digest that the corpus version ends in: the first eight hex digits of the SHA-256 over each
// file's relative path, size and bytes. First come the files that are no pages, folder by folder in byte
// order; then the pages by kind, id and folder, as they are read; last the word list, as "words".
class CorpusDigest {
 public:
  void add(std::string_view relative, std::string_view bytes);
  std::string take() { return kb::hex(sum_.take(), 8); }

 private:
  kb::Sha256 sum_;
};

}  // namespace indexer
