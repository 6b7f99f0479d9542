// What a question's words are taken for, before anything is looked up: corrected words, stems, sounds, a year.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "kb/database.h"
#include "kb/lexicon.h"
#include "kb/search.h"

namespace kb {

inline constexpr std::size_t kMostWords = 64;  // design: of a long query the rarest are asked.

struct Typed {
  std::vector<std::string> words;       // Folded, in order; a corrected word stands behind what was typed.
  std::vector<std::string> stems;       // Of the words as corrected, in order.
  std::vector<std::string> sounds;      // Of the words as typed; a number has none.
  std::vector<bool> known;              // Is the word as typed one of the corpus?
  std::optional<int> year;              // 1800 to 2100, the first that was typed: "1956", "1950s", "50s".
  std::vector<Correction> corrections;  // Each told once.
  std::size_t different = 0;            // Words that carry something.
  std::vector<std::string> asked;       // Of these the rarest 64, each once.
};

// Reads `text`, any bytes. A word that no article holds is corrected to the nearest one of the corpus, or to
// the one that it and the next word sound like together; never a word of general English, a number, or across a
// negating prefix. `lexicon` holds the words of words.yaml. Throws Error when the database cannot be read.
Typed read_typed(const Database& db, Lexicon& lexicon, std::string_view text);

}  // namespace kb
