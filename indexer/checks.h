// Checks that take more than one page or file: links, names, report wording, shared names.
#pragma once

#include <string>
#include <string_view>

#include "indexer/corpus.h"
#include "indexer/problem.h"
#include "kb/lexicon.h"

namespace indexer {

// Reports what is wrong with the corpus as a whole and with each page as it stands after
// overriding. `lexicon` is in learning mode and made from word_rules().
void check_corpus(const Corpus& corpus, kb::Lexicon& lexicon, Problems& problems);

// A name as the note reader compares it: the stems of its words, joined by blanks. "pipe-lagging"
// and "pipe laggings" give the same key; a text without a word gives an empty one.
std::string name_key(std::string_view name, kb::Lexicon& lexicon);

// Planned pages that no folder holds yet, and the links that lead to them. Counted, not refused.
struct Unwritten {
  int pages = 0;
  int links = 0;
};
Unwritten count_unwritten(const Corpus& corpus);

}  // namespace indexer
