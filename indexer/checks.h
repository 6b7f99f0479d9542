// Checks that take more than one page or file: links, names, report wording, shared names.
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "indexer/corpus.h"
#include "indexer/problem.h"
#include "kb/lexicon.h"

namespace indexer {

// A name as the note reader compares it: the stems of its words, joined by blanks. "pipe-lagging"
// and "pipe laggings" give the same key; a text without a word gives an empty one.
std::string name_key(std::string_view name, kb::Lexicon& lexicon);

// A name of a page, and its key.
struct NameKey {
  const Value* name;  // Points into the page.
  std::string key;
  bool heard;  // Of `heard-as`; these stand behind those of `names`.
};

// What is done with a page when it has been checked, found faulty or not. The page is gone afterwards.
using PageUse = std::function<void(const Page& page, const std::vector<NameKey>& names)>;

struct Outcome {
  std::int64_t pages = 0;
  int page_files = 0;  // Files of pages read, overriding ones counted too.
};

// Reads the pages one by one, reports what is wrong with each as it stands after overriding and with
// the corpus as a whole, and hands each to `use`. Pages are read again only when long runs of words may
// stand in too many of them. `lexicon` is made from word_rules(); `digest` is given each page once.
Outcome check_corpus(const Corpus& corpus, kb::Lexicon& lexicon, Problems& problems,
                     const PageUse& use = {}, CorpusDigest* digest = nullptr);

}  // namespace indexer
