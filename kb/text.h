// Words of a text with their places in it.
//
// The same code reads articles, questions and notes, so that a size or a spelling is the same word
// in all three. No I/O, no state, never fails: bytes that are not UTF-8 separate words.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace kb {

// A half-open range of bytes.
struct Span {
  std::size_t begin = 0;
  std::size_t end = 0;
  bool operator==(const Span&) const = default;
};

// One piece of a text: a word, a number or one sign.
struct RawToken {
  enum class Kind : std::uint8_t { word, number, mark };
  Kind kind = Kind::mark;
  std::uint32_t begin = 0;   // Byte offsets into the text.
  std::uint32_t end = 0;
  char mark = 0;             // The sign itself; '"' for any inch mark, '\n' for a line's end.
  bool space_before = false;
};

// Splits `text` into words, numbers and signs, in order. A word is a run of letters with inner
// apostrophes ("isn't"), a number a run of digits with inner points ("3.5"); digits and letters
// run together are split ("9x9" gives 9, x, 9), except a decade ("1950s"). "w/" and "w/o" are words.
// Offsets are 32-bit: a text longer than 4 GiB must be split by the caller.
std::vector<RawToken> split(std::string_view text);

// Lower case without accents, typographic apostrophes made plain. Invalid bytes are left out.
std::string fold(std::string_view word);

// A word without its common English ending: plural, possessive, -ed, -ing and a long word's final e go
// ("wrapped", "wrapping", "wraps" all give "wrap"). Meant for comparing words, not for reading.
// Our own short list of endings; the full-text index uses SQLite's porter beside it.
std::string stem(std::string_view folded_word);

// The consonants of a folded word as they sound, for words that dictation wrote otherwise:
// "vermiculite" and "for mick you light" both give "FRMKLT". Vowels, h, w and y are left out.
std::string sound_key(std::string_view folded_word);

// Number of single-letter changes between two words: insert, delete, replace, swap neighbors
// (optimal string alignment). Stops at `limit` and then returns limit + 1.
int edit_distance(std::string_view a, std::string_view b, int limit);

// Is `text` valid UTF-8 throughout? On false, `bad_at` (when given) holds the first wrong byte.
bool valid_utf8(std::string_view text, std::size_t* bad_at = nullptr);

// `text` with every invalid byte replaced by U+FFFD, for output that must be UTF-8.
std::string to_valid_utf8(std::string_view text);

// `text` with every run of white space as one blank, and none at either end.
std::string single_blanks(std::string_view text);

// `text` with the first `slot` in it ("{place}") replaced by `value`; without one, `text`.
std::string filled(std::string text, std::string_view slot, std::string_view value);

// Words of a text, a hyphen or an apostrophe counted inside its word: for length limits only.
int count_words(std::string_view text);

}  // namespace kb
