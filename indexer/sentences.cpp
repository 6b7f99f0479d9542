#include "indexer/sentences.h"

#include <algorithm>

#include "kb/text.h"

namespace indexer {
namespace {

bool ends_sentence(const std::vector<kb::RawToken>& tokens, std::size_t i) {
  const kb::RawToken& token = tokens[i];
  if (token.kind != kb::RawToken::Kind::mark) return false;
  if (token.mark == '\n') return true;
  if (token.mark != '.' && token.mark != '?' && token.mark != '!') return false;
  return i + 1 == tokens.size() || tokens[i + 1].space_before ||
         tokens[i + 1].kind == kb::RawToken::Kind::mark;
}

bool is_word(const kb::RawToken& token) { return token.kind != kb::RawToken::Kind::mark; }

// The tokens [i, last] that hyphens and closeness make one word: "9x9", "pre-cut".
std::size_t end_of_word(const std::vector<kb::RawToken>& tokens, std::size_t i) {
  std::size_t last = i;
  while (last + 1 < tokens.size() && !tokens[last + 1].space_before) {
    if (is_word(tokens[last + 1])) {
      ++last;
    } else if (tokens[last + 1].mark == '-' && last + 2 < tokens.size() &&
               !tokens[last + 2].space_before && is_word(tokens[last + 2])) {
      last += 2;
    } else {
      break;
    }
  }
  return last;
}

}  // namespace

std::vector<Sentence> sentences_of(std::string_view text) {
  std::vector<Sentence> out(1);
  const auto tokens = kb::split(text);
  for (std::size_t i = 0; i < tokens.size(); ++i) {
    if (ends_sentence(tokens, i)) {
      if (!out.back().empty()) out.emplace_back();
      continue;
    }
    if (out.back().empty()) out.back().reserve(std::min<std::size_t>(tokens.size() - i, 24));
    const std::size_t last = is_word(tokens[i]) ? end_of_word(tokens, i) : i;
    const std::size_t begin = tokens[i].begin;
    const std::size_t end = tokens[last].end;
    const bool word = is_word(tokens[i]);
    out.back().push_back({word ? kb::fold(text.substr(begin, end - begin)) : std::string(1, tokens[i].mark),
                          begin, end, word, 0, nullptr});
    i = last;
  }
  if (out.back().empty()) out.pop_back();
  return out;
}

PhraseWords phrase_words(std::string_view phrase) {
  PhraseWords out;
  for (const Sentence& sentence : sentences_of(phrase))
    for (const Piece& piece : sentence)
      if (piece.word) out.push_back(piece.folded);
  return out;
}

bool stands_at(const Sentence& sentence, std::size_t at, const PhraseWords& phrase) {
  if (phrase.empty() || at + phrase.size() > sentence.size()) return false;
  return std::equal(phrase.begin(), phrase.end(), sentence.begin() + static_cast<std::ptrdiff_t>(at),
                    [](const std::string& word, const Piece& piece) {
                      return piece.word && piece.folded == word;
                    });
}

void PhraseIndex::add(unsigned list, const std::vector<PhraseWords>& phrases) {
  for (const PhraseWords& phrase : phrases) {
    if (phrase.empty()) continue;
    PhrasesFrom& from = by_word_[phrase.front()];
    from.lists |= 1u << list;
    from.phrases.emplace_back(list, phrase);
  }
}

void PhraseIndex::mark(Sentence& sentence) const {
  for (Piece& piece : sentence) {
    if (!piece.word) continue;
    const auto found = by_word_.find(piece.folded);
    if (found == by_word_.end()) continue;
    piece.lists = found->second.lists;
    piece.phrases = &found->second;
  }
}

std::size_t longest_at(const Sentence& sentence, std::size_t at, unsigned list) {
  if (at >= sentence.size() || ((sentence[at].lists >> list) & 1u) == 0) return 0;
  std::size_t longest = 0;
  for (const auto& [of, phrase] : sentence[at].phrases->phrases)
    if (of == list && phrase.size() > longest && stands_at(sentence, at, phrase)) longest = phrase.size();
  return longest;
}

}  // namespace indexer
