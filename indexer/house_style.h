// vocabulary/house-style.yaml: what the text of a page may and may not say, as data.
#pragma once

#include <string>
#include <vector>

#include "indexer/corpus.h"
#include "indexer/problem.h"
#include "indexer/sentences.h"

namespace indexer {

struct Instruction {
  std::string bare;        // "wrap"
  std::string gerund;      // "wrapping"
  std::string participle;  // "wrapped"
};

// A place where a rule is broken for a reason.
struct Excuse {
  std::string article;
  PhraseWords phrase;
  Place place;
};

struct HouseStyle {
  bool present = false;  // Is there such a file? Without it nothing is checked.
  int least_words = 0, most_words = 0;
  double homeowner_grade = 0;
  int run_words = 0, run_pages = 0;
  std::vector<PhraseWords> comfort, comfort_always;
  std::vector<PhraseWords> certainty, certainty_unless, certainty_unless_next;
  std::vector<Instruction> instructions;
  std::vector<PhraseWords> objects, not_next, finite, subjects, modals, passives, needs, urging;
  std::vector<PhraseWords> forbidding, forbidding_ends, supposing;
  std::vector<std::string> forbidding_sections;
  // Words of which a note's standing paragraph holds one of each row.
  std::vector<std::vector<std::string>> standing;
  std::string standing_page;  // Its id, from wording.yaml.
  std::vector<PhraseWords> report_never, prices, honorifics;
  std::vector<std::string> capitalized;  // Sorted, as written.
  std::vector<Excuse> exceptions;
};

// Reads the file and reports what is malformed in it.
HouseStyle house_style(const Corpus& corpus, Problems& problems);

}  // namespace indexer
