#include "kb/phrases.h"

namespace kb {
namespace {

std::uint64_t edge(std::uint32_t node, std::int32_t word) {
  return (static_cast<std::uint64_t>(node) << 32) | static_cast<std::uint32_t>(word);
}

bool joins(char mark) { return mark == '-' || mark == '"' || mark == '\'' || mark == '*'; }

}  // namespace

PhraseTree::PhraseTree() : tags_(1) {}

void PhraseTree::add(std::string_view phrase, Tag tag, Lexicon& lexicon) {
  std::uint32_t node = 0;
  for (const Token& t : read_tokens(phrase, lexicon)) {
    if (t.word == nullptr || t.id < 0) continue;
    if (node == 0) {
      if (starts_.size() <= static_cast<std::size_t>(t.id)) starts_.resize(static_cast<std::size_t>(t.id) + 256);
      starts_[static_cast<std::size_t>(t.id)] = true;
    }
    const auto [place, fresh] = next_.try_emplace(edge(node, t.id), static_cast<std::uint32_t>(tags_.size()));
    if (fresh) tags_.emplace_back();
    node = place->second;
  }
  if (node != 0) tags_[node].push_back(tag);
}

std::vector<Match> PhraseTree::scan(const std::vector<Token>& tokens) const {
  std::vector<Match> found;
  for (std::size_t i = 0; i < tokens.size(); ++i) {
    if (tokens[i].id < 0 || static_cast<std::size_t>(tokens[i].id) >= starts_.size() ||
        !starts_[static_cast<std::size_t>(tokens[i].id)])
      continue;
    std::uint32_t node = 0;
    for (std::size_t j = i; j < tokens.size(); ++j) {
      const Token& t = tokens[j];
      if (t.word == nullptr) {
        if (joins(t.mark)) continue;
        break;
      }
      if (t.id < 0) break;
      const auto place = next_.find(edge(node, t.id));
      if (place == next_.end()) break;
      node = place->second;
      for (const Tag& tag : tags_[node])
        found.push_back({static_cast<std::uint32_t>(i), static_cast<std::uint32_t>(j + 1), tag});
    }
  }
  return found;
}

}  // namespace kb
