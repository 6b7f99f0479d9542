// The whole corpus: the pages of all folders laid over each other, the plan, and the vocabulary.
//
// Overriding. The first folder holds the corpus. A file of a later folder at the same relative path
// overrides it:
// - a page: its front matter needs only `id` and `kind`; any other key in it replaces the same key.
//   Each section of level 2 in it, with its level 3 ones, replaces the section of that name whole;
//   in kinds with free sections a new one comes last. Everything else stays.
// - a vocabulary file: replaces the whole file.
// - plan.tsv: its rows are added; a row with a known id replaces that row's title.
// - corpus.yaml: replaces the version.
// A page that no earlier folder has must be whole, and its id must be planned.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "indexer/corpus_source.h"
#include "indexer/front_matter.h"
#include "indexer/page.h"
#include "indexer/problem.h"
#include "kb/lexicon.h"

namespace indexer {

struct Planned {
  std::string kind;
  std::string title;
};

struct Corpus {
  std::string version;                      // As corpus.yaml says, without the digest.
  std::map<std::string, Planned> plan;      // By id.
  std::vector<Page> pages;                  // By kind in the design's order, then by id.
  std::map<std::string, Value> vocabulary;  // By file name without its ending.
  int page_files = 0;                       // Article files read, overriding ones counted too.
};

// Lays the folders over each other and checks each file by itself; see checks.h for the rest.
Corpus assemble(const Sources& sources, Problems& problems);

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
