#include "kb/readability.h"

#include <algorithm>
#include <array>
#include <string>

#include "kb/text.h"

namespace kb {
namespace {

bool is_vowel(char c) { return std::string_view("aeiouy").find(c) != std::string_view::npos; }

bool ends_with_any(std::string_view word, std::initializer_list<std::string_view> endings) {
  return std::any_of(endings.begin(), endings.end(),
                     [&](std::string_view ending) { return word.ends_with(ending); });
}

// Vowels that are spoken apart although they stand together: "mater-i-al", "radi-o", "muse-um".
// `at` is the first of the two.
bool spoken_apart(std::string_view word, std::size_t at) {
  const std::string_view pair = word.substr(at, 2);
  const std::string_view rest = word.substr(at);
  const char before = at > 0 ? word[at - 1] : ' ';
  const auto before_is = [&](std::string_view letters) { return letters.find(before) != std::string_view::npos; };
  if (pair == "ia") return !before_is("ctg") && !rest.starts_with("iage");  // "social" runs together.
  if (pair == "io")
    return !(rest.starts_with("ion") && before_is("tscxgnl")) && !(rest.starts_with("iou") && before_is("ctxg"));
  if (pair == "ie")
    return (rest.starts_with("ien") && !rest.starts_with("iend") && !before_is("tcs ")) ||
           (at > 1 && (rest == "ier" || rest == "iers" || rest == "iest" || rest.starts_with("iety")));
  if (pair == "iu" || pair == "uo") return true;
  if (pair == "ua") return rest.starts_with("ual") || !before_is("gs");
  if (pair == "eo") return rest != "eople" && before != 'g';
  if (pair == "ea")
    return (rest == "ea" || rest == "eas") ? before_is("dr") && at > 1
                                           : (word.starts_with("creat") && !word.starts_with("creatu")) || word.starts_with("real");
  if (pair == "ye") return at > 1 && rest.starts_with("yer");
  if (pair == "ya" || pair == "yi" || pair == "yo") return at > 0;
  if (pair == "ei") return rest == "eing" || rest.starts_with("eity");
  if (pair == "oi" || pair == "ui") return rest == "oing" || rest == "uing" || rest.starts_with("uity");
  return pair == "oa" && rest == "oa" && at > 1;
}

// One written group of vowels at the end that is not spoken: "tile", "taped", "tiles".
bool silent_end(std::string_view word) {
  if (word.size() < 3) return false;
  const auto from_end = [&](std::size_t n) { return n <= word.size() ? word[word.size() - n] : ' '; };
  if (word.ends_with("e")) {
    if (is_vowel(from_end(2))) return false;  // "tree", "glue": one group already.
    return !(from_end(2) == 'l' && word.size() > 3 && !is_vowel(from_end(3)));  // "mottle"
  }
  if (word.ends_with("es") && !is_vowel(from_end(3))) {
    if (from_end(3) == 'l' && word.size() > 4 && !is_vowel(from_end(4))) return false;  // "shingles"
    return !ends_with_any(word, {"ses", "zes", "xes", "ches", "shes", "ces", "ges"});
  }
  if (word.ends_with("ed") && !is_vowel(from_end(3))) {
    if (from_end(3) == 'l' && word.size() > 4 && !is_vowel(from_end(4)) && from_end(4) != 'l')
      return false;  // "mottled"
    return from_end(3) != 't' && from_end(3) != 'd';
  }
  return false;
}

// Written vowels inside a word that are not spoken: the first word's e in "fire-proof", "hom-e-less",
// the a in "typic-a-lly".
int silent_inside(std::string_view word) {
  if (word.starts_with("every") || word.ends_with("ically")) return 1;
  constexpr std::array<std::string_view, 23> heads{
      "some", "fire", "home", "house", "where", "there", "here",  "fore", "base", "side",  "stove", "pipe",
      "tile", "note", "whole", "lime", "stone", "smoke", "wire", "grade", "safe", "drive", "guide"};
  for (const std::string_view head : heads)
    if (word.starts_with(head) && word.size() > head.size() + 1 && !is_vowel(word[head.size()]) &&
        !word.substr(head.size()).starts_with("d") && !word.substr(head.size()).starts_with("r"))
      return 1;
  constexpr std::array<std::string_view, 5> tails{"ement", "eful", "eless", "ely", "eness"};
  for (const std::string_view tail : tails) {
    const std::size_t at = word.find(tail);
    if (at == std::string_view::npos || at < 2 || is_vowel(word[at - 1])) continue;
    const bool of_its_own = (word[at - 1] == 'l' && !is_vowel(word[at - 2])) || word.starts_with("ele") || word.starts_with("cem");
    if (!of_its_own) return 1;
  }
  return 0;
}

}  // namespace

int count_syllables(std::string_view raw) {
  std::string word;
  for (const char c : fold(raw))
    if (c >= 'a' && c <= 'z') word += c;
  if (word.empty()) return 1;  // A number or a sign.
  // A y before a vowel at the start, and the u of "qu", are no vowels of their own.
  const auto vowel_at = [&](std::size_t i) {
    if (word[i] == 'y' && i == 0) return word.size() > 1 && !is_vowel(word[1]);
    return is_vowel(word[i]) && !(word[i] == 'u' && i > 0 && word[i - 1] == 'q');
  };
  int count = 0;
  for (std::size_t i = 0; i < word.size(); ++i)
    if (vowel_at(i) && (i == 0 || !vowel_at(i - 1) || spoken_apart(word, i - 1))) ++count;
  if (count > 1 && silent_end(word)) --count;
  if (count > 1) count -= silent_inside(word);
  if (ends_with_any(word, {"ism", "isms"})) ++count;  // "magnetis-m"
  return std::max(count, 1);
}

ReadingCounts count_reading(std::string_view text) {
  ReadingCounts out;
  bool open = false;  // Has the sentence a word yet?
  const auto close = [&] {
    out.sentences += open ? 1 : 0;
    open = false;
  };
  const auto tokens = split(text);
  for (std::size_t i = 0; i < tokens.size(); ++i) {
    const RawToken& token = tokens[i];
    if (token.kind == RawToken::Kind::mark) {
      const bool stop = token.mark == '?' || token.mark == '!' || token.mark == '\n' ||
                        (token.mark == '.' && (i + 1 == tokens.size() || tokens[i + 1].space_before ||
                                               tokens[i + 1].kind == RawToken::Kind::mark));
      if (stop) close();
      continue;
    }
    // "9x9", "half-round" and "don't" are one word each.
    std::size_t last = i;
    int syllables = count_syllables(text.substr(token.begin, token.end - token.begin));
    while (last + 1 < tokens.size() && !tokens[last + 1].space_before) {
      const bool hyphen = tokens[last + 1].kind == RawToken::Kind::mark && tokens[last + 1].mark == '-' &&
                          last + 2 < tokens.size() && !tokens[last + 2].space_before &&
                          tokens[last + 2].kind != RawToken::Kind::mark;
      if (!hyphen && tokens[last + 1].kind == RawToken::Kind::mark) break;
      last += hyphen ? 2 : 1;
      syllables += count_syllables(text.substr(tokens[last].begin, tokens[last].end - tokens[last].begin));
    }
    i = last;
    ++out.words;
    out.syllables += syllables;
    open = true;
  }
  close();
  return out;
}

double flesch_kincaid_grade(const ReadingCounts& counts) {
  if (counts.words == 0 || counts.sentences == 0) return 0.0;
  return 0.39 * counts.words / counts.sentences + 11.8 * counts.syllables / counts.words - 15.59;
}

double flesch_reading_ease(const ReadingCounts& counts) {
  if (counts.words == 0 || counts.sentences == 0) return 121.22;
  return 206.835 - 1.015 * counts.words / counts.sentences - 84.6 * counts.syllables / counts.words;
}

}  // namespace kb
