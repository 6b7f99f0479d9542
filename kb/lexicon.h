// The words that the corpus knows, numbered, and texts read as rows of such words.
//
// Articles, questions and notes all pass through read_tokens(), so "9 x 9 in.", `9"x9"` and
// "nine by nine" are the same word "9x9" everywhere. No I/O of its own.
#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <string>
#include <string_view>
#include <unordered_map>
#include <utility>
#include <vector>

#include "kb/frozen.h"
#include "kb/text.h"

namespace kb {

// What words.yaml says about single words.
struct WordRules {
  std::map<std::string, std::string, std::less<>> same;   // A spelling or short form, and the word it stands for.
  std::vector<std::string> abbreviations;                 // A full stop after these ends no sentence.
  std::map<std::string, std::string, std::less<>> spoken; // Signs said aloud ("period" is ".").
  std::vector<std::string> whole;                         // Their ending belongs to them: "siding".
  std::vector<std::string> quiet;                         // Carry nothing in a question.
  std::vector<std::string> negating_prefixes;             // "un", "non": never corrected across.

  void write(ByteWriter& out) const;
  static WordRules read(ByteReader& in);
};

// One word as the lexicon sees it.
struct WordInfo {
  std::string folded;        // As compared: lower case, short forms written out, corrected.
  std::string sound;         // Its sound key.
  std::int32_t id = -1;      // Number of its stem, or -1 when no phrase of the corpus uses it.
  bool corrected = false;    // A misspelling of `folded`.
  bool abbreviation = false;
  mutable std::uint32_t mark = 0;  // For whoever reads texts with the lexicon; a new word has 0.
};

struct Token {
  std::uint32_t begin = 0;
  std::uint32_t end = 0;
  std::int32_t id = -1;            // Of the word; -1 for unknown words and for signs.
  char mark = 0;                   // The sign, or 0 for a word.
  bool space_before = false;
  bool number = false;
  const WordInfo* word = nullptr;  // Null for signs. Owned by the lexicon.
};

class Lexicon {
 public:
  // True for words of ordinary English, which are never corrected. May be empty.
  using GeneralWords = std::function<bool(std::string_view)>;

  Lexicon(WordRules rules, GeneralWords general);

  // The stem of a folded word, as names and notes are compared: kb::stem, but for whole words.
  std::string stem_of(std::string_view folded) const;
  // Gives the stem of a folded word a number, the same one each time.
  std::int32_t add(std::string_view folded);
  // The number of a folded word's stem, or -1.
  std::int32_t find(std::string_view folded) const;

  // Is a folded word one of ordinary English? False for all when no list of them was given.
  bool is_general(std::string_view folded) const { return general_ && general_(folded); }

  // A word as typed. With spelling correction on, an unknown word that no general list knows
  // becomes the nearest known word: one change up to seven letters, two from eight; never for
  // words under four letters, with a digit, or that differ by a negating prefix.
  const WordInfo& look_up(std::string_view raw);

  // Adds every new word met (while phrases are compiled), or corrects unknown ones (while reading).
  enum class Mode : std::uint8_t { learn, correct, plain };
  void set_mode(Mode mode);

  const WordRules& rules() const { return rules_; }

  // Forgets what it looked up when that is more than `words`; tokens of before must not be used then.
  void keep_within(std::size_t words) {
    if (seen_.size() > words) seen_.clear();
  }

  // No word is added after this.
  void complete();
  // The words learned, without the rules. read() leaves the lexicon in Mode::correct.
  void write(ByteWriter& out) const;
  void read(ByteReader& in);

 private:
  bool correct(WordInfo& info) const;

  WordRules rules_;
  GeneralWords general_;
  Mode mode_ = Mode::learn;
  TextTable ids_;                      // By stem.
  TextTable known_;                    // Words that a misspelling may stand for: their stem's number.
  struct Hash {
    using is_transparent = void;
    std::size_t operator()(std::string_view text) const { return std::hash<std::string_view>()(text); }
  };
  std::unordered_map<std::string, WordInfo, Hash, std::equal_to<>> seen_;  // By the bytes as typed; nodes never move.
};

// The words and signs of `text` in order, sizes and inch marks made one: "9 x 9", `9"x9"`,
// "9 inch squares" and "nine by nine" give the word "9x9"; `12"` and "12 in." give 12 and "inch",
// "5%" gives 5 and "percent".
std::vector<Token> read_tokens(std::string_view text, Lexicon& lexicon);

// The words of read_tokens joined by single blanks, folded but not stemmed: what the full-text
// index holds and what it is asked.
std::string normal_text(std::string_view text, Lexicon& lexicon);

// The sounds of the words, run together (kb::sound_key of each).
std::string sound_of(std::string_view text, Lexicon& lexicon);

// The same words stemmed: how name phrases are stored and looked up.
std::string stemmed_text(std::string_view text, Lexicon& lexicon);

}  // namespace kb
