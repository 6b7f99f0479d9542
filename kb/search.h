// Finding the article that somebody on site means by a few words, badly typed.
//
// Ranking is FTS5's bm25 over title, names, look and body, lifted by names that the typed words hold
// whole, and moved by the year of the house. Typed text never reaches FTS5 raw.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "kb/articles.h"

namespace kb {

struct FindOptions {
  std::optional<int> built;
  std::string system, kind;   // Ids and kinds; empty for all.
  std::string place;          // A word or words of a place; empty for all.
  std::string reader;         // "homeowner", "inspector"; empty: as the words tell.
  std::size_t most = 10;
};

struct Correction {
  std::string from, to;
};

struct FindResult {
  ArticleInfo article;
  double score = 0;                   // Higher is better; comparable within one answer only.
  std::vector<std::string> matched;   // Typed words it holds, and names met, as "name: pipe lagging".
  std::string years;                  // "1920 to 1978", or empty.
  std::string friability;             // Or empty.
  std::string caution;                // One line.
  std::string parts;                  // The score's parts, for --why.
};

struct FindAnswer {
  std::string query;
  std::optional<int> year;
  std::vector<Correction> corrections;
  std::size_t words = 0, words_asked = 0;  // Distinct words typed, and those asked (the rarest 64).
  std::vector<FindResult> results;         // Best first; ties by article order.
  std::vector<FindResult> nearest;         // When there are no results: up to three, near only.
};

// Never fails on anything typed. No word at all gives no results and no nearest.
FindAnswer find(const Database& db, std::string_view typed, const FindOptions& options);

// The MATCH text for words already read: each quoted, joined with OR. Empty for no words.
std::string to_match_query(const std::vector<std::string>& words);

}  // namespace kb
