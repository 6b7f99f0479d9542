// How hard a text is to read: the published formulas, and the counts that they stand on.
//
// Counting follows R. Flesch's method as published: a contraction, a hyphenated word, a number or a
// symbol is one word; a number counts as one syllable; where a word is said in two ways, the
// shorter. Two readings of ours where programs differ, both on the strict side: a sentence ends at
// ". ? !" and at the end of a line, and not at a colon, a semicolon or a dash.
#pragma once

#include <string_view>

namespace kb {

struct ReadingCounts {
  int sentences = 0;
  int words = 0;
  int syllables = 0;
};

// Counts running text. A line's end closes a sentence, so a list item is a sentence of its own;
// headings are the caller's to leave out. No markup is understood.
ReadingCounts count_reading(std::string_view text);

// Syllables of one word of English, at least 1. By rule, not by dictionary: tests/readability holds
// it against a pronouncing dictionary of general English and says how often the two agree.
int count_syllables(std::string_view word);

// Flesch-Kincaid grade, a US school grade; -3.4 at the least, no upper bound. Formula: Kincaid and
// others 1975, US Navy Research Branch Report 8-75: 0.39 x words/sentences + 11.8 x
// syllables/words - 15.59. Without a word: 0.
double flesch_kincaid_grade(const ReadingCounts& counts);

// Flesch reading ease, higher is easier; 121.22 at the most, no lower bound. Formula: Flesch 1948
// as restated in the same report: 206.835 - 1.015 x words/sentences - 84.6 x syllables/words.
// Without a word: 121.22.
double flesch_reading_ease(const ReadingCounts& counts);

}  // namespace kb
