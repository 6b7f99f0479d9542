// The wording rules: what no page of letbe, and no firm's own wording, may say.
//
// The words are data (vocabulary/house-style.yaml); what is code is the grammar around them: a
// prohibition ("do not sweep it") and a supposition ("any work that would cut it") are no orders.
#pragma once

#include <set>
#include <string>
#include <vector>

#include "indexer/house_style.h"
#include "indexer/page.h"
#include "indexer/problem.h"

namespace indexer {

class WordingLint {
 public:
  WordingLint(const HouseStyle& style, Problems& problems);

  // Looks at everything of `page` that is printed: title, sections, what its drawing says, and the front
  // matter's notes.
  void run(const Page& page);
  // Looks at every text in `value`: fixed sentences of the vocabulary.
  void run(const Value& value);
  // Reports rows of `exceptions` that excused nothing on a page that was seen.
  void finish();

 private:
  // Text under check and where it stands.
  struct Under {
    std::string_view text;
    Place place;
    bool forbids = false;  // In a section that forbids as a whole.
    bool report = false;   // Pasted into reports.
    bool names = true;     // Brands and persons are looked for.
  };

  // The sentences of `text`, marked with the phrases of the house style.
  std::vector<Sentence> marked_sentences(std::string_view text) const;
  void check(const Under& under);
  std::vector<Sentence> joined_behind_titles(std::vector<Sentence> sentences) const;
  void check_comfort(const Under& under, const Sentence& sentence);
  void check_certainty(const Under& under, const Sentence& sentence);
  void check_orders(const Under& under, const Sentence& sentence);
  void check_report(const Under& under, const Sentence& sentence);
  void check_prices(const Under& under, const Sentence& sentence);
  void check_names(const Under& under, const Sentence& sentence);
  void check_addresses(const Under& under);
  // Is the word at `at`, which has one form of `verb`, an order there?
  bool is_order(const Sentence& sentence, std::size_t at, const Instruction& verb) const;
  // Is what stands at `at` forbidden or only supposed?
  bool forbidden(const Sentence& sentence, std::size_t at) const;
  bool denied(const Sentence& sentence, std::size_t at) const;
  bool unlisted_capital(const Under& under, const Piece& piece) const;
  // Reports pieces [from, to) of the sentence unless a row excuses them.
  void report(Rule rule, const Under& under, const Sentence& sentence, std::size_t from, std::size_t to,
              const std::string& what, const std::string& instead);

  const HouseStyle& style_;
  PhraseIndex phrases_;
  Problems& problems_;
  std::string article_;               // Of the page under check; empty for vocabulary.
  std::set<std::string> seen_;        // Articles checked.
  std::vector<bool> used_;            // By row of exceptions.
};

}  // namespace indexer
