// The folders of articles on disk, read whole before anything is checked.
#pragma once

#include <string>
#include <vector>

#include "indexer/page.h"
#include "indexer/problem.h"

namespace indexer {

// The files of one DIR, by their relative paths in byte order.
struct SourceFolder {
  std::string path;  // As given, without a slash at its end.
  std::vector<SourceFile> files;
};

// Several folders in the order given: a later one overrides earlier ones. Places in messages point
// into it, so it must outlive every page, problem and corpus made from it, and must not change.
using Sources = std::vector<SourceFolder>;

// Reads plan.tsv, corpus.yaml, <folder of a kind>/*.md and vocabulary/*.yaml below `path`. Hidden
// files, backup copies (x~) and a README.md at the top are passed over; other files, unknown
// folders and what cannot be read are reported. Throws kb::Error when `path` is no readable folder.
SourceFolder read_folder(const std::string& path, Problems& problems);

// The words of a word list, one a line: those of letters and inner apostrophes only, folded,
// sorted, each once. `bytes`, when given, receives the file. Throws kb::Error, naming the package
// that brings the list, when it cannot be read.
std::vector<std::string> read_word_list(const std::string& path, std::string* bytes);

// The digest that the corpus version ends in: the first eight hex digits of the SHA-256 over every
// file's relative path, size and bytes, folder by folder in order, and last the word list's.
std::string digest_of(const Sources& sources, const std::string& word_list);

}  // namespace indexer
