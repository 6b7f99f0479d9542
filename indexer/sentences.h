// The sentences of a passage as the wording checks look at them: words, signs and clauses.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <unordered_map>
#include <utility>
#include <vector>

namespace indexer {

struct PhrasesFrom;

// One word or sign of a sentence.
struct Piece {
  std::string folded;    // Lower case; a sign stands as itself, inch marks as '"'.
  std::size_t begin = 0; // Byte offsets into the passage.
  std::size_t end = 0;
  bool word = false;     // A word or number, not a sign.
  std::uint32_t lists = 0;               // A bit for each list with a phrase that begins here: see
  const PhrasesFrom* phrases = nullptr;  // PhraseIndex, which finds them.
};

using Sentence = std::vector<Piece>;

// Cuts `text` after ". ? !" that a blank follows. A hyphen joins: "pre-cut" is one word.
std::vector<Sentence> sentences_of(std::string_view text);

// A phrase of house-style.yaml as folded words: "must not" gives {"must", "not"}.
using PhraseWords = std::vector<std::string>;
PhraseWords phrase_words(std::string_view phrase);

// Does `phrase` stand at word `at` of `sentence`? Signs do not lie inside a phrase.
bool stands_at(const Sentence& sentence, std::size_t at, const PhraseWords& phrase);

// The phrases of several lists that begin with the same word.
struct PhrasesFrom {
  std::uint32_t lists = 0;  // A bit for each list that has one.
  std::vector<std::pair<unsigned, PhraseWords>> phrases;
};

// Lists of phrases, numbered by their owner from 0 to 31, found by their first words: each word of a
// sentence is looked up once for all of them. Must outlive the sentences that it marked.
class PhraseIndex {
 public:
  void add(unsigned list, const std::vector<PhraseWords>& phrases);
  void mark(Sentence& sentence) const;

 private:
  std::unordered_map<std::string, PhrasesFrom> by_word_;
};

// The longest phrase of `list` that stands at `at` of a marked sentence: how many words it has; 0 when
// none does, or `at` is its end.
std::size_t longest_at(const Sentence& sentence, std::size_t at, unsigned list);

}  // namespace indexer
