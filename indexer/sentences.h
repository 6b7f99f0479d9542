// The sentences of a passage as the wording checks look at them: words, signs and clauses.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace indexer {

// One word or sign of a sentence.
struct Piece {
  std::string folded;    // Lower case; a sign stands as itself, inch marks as '"'.
  std::size_t begin = 0; // Byte offsets into the passage.
  std::size_t end = 0;
  bool word = false;     // A word or number, not a sign.
};

using Sentence = std::vector<Piece>;

// Cuts `text` after ". ? !" that a blank follows. A hyphen joins: "pre-cut" is one word.
std::vector<Sentence> sentences_of(std::string_view text);

// A phrase of house-style.yaml as folded words: "must not" gives {"must", "not"}.
using PhraseWords = std::vector<std::string>;
PhraseWords phrase_words(std::string_view phrase);

// Does `phrase` stand at word `at` of `sentence`? Signs do not lie inside a phrase.
bool stands_at(const Sentence& sentence, std::size_t at, const PhraseWords& phrase);

// The longest of `phrases` that stands at `at`: how many words it has; 0 when none does.
std::size_t longest_at(const Sentence& sentence, std::size_t at, const std::vector<PhraseWords>& phrases);

}  // namespace indexer
