#include "kb/phrases.h"

namespace kb {
namespace {

// A line's end joins too: a wrapped line may split a name.
bool joins(char mark) { return mark == '\n' || mark == '-' || mark == '/' || mark == '"' || mark == '\'' || mark == '*'; }

}  // namespace

void PhraseTree::add(const std::vector<Token>& phrase, Tag tag) {
  std::uint32_t node = 0;
  for (const Token& t : phrase) {
    if (t.word == nullptr || t.id < 0) continue;
    if (node == 0) {
      if (starts_.size() <= static_cast<std::size_t>(t.id)) starts_.resize(static_cast<std::size_t>(t.id) + 256);
      starts_[static_cast<std::size_t>(t.id)] = 1;
    }
    std::uint32_t below = next_.find(node, t.id);
    if (below == 0) {
      below = nodes_++;
      next_.set(node, t.id, below);
    }
    node = below;
  }
  tags_.resize(nodes_);
  if (node != 0) tags_.add(node, tag);
}

void PhraseTree::complete() {
  tags_.flatten();
  next_.flatten(nodes_);
}

void PhraseTree::write(ByteWriter& out) const {
  out.number(nodes_);
  next_.write(out);
  tags_.write(out);
  out.array(starts_);
}

PhraseTree PhraseTree::read(ByteReader& in) {
  PhraseTree out;
  out.nodes_ = static_cast<std::uint32_t>(in.number());
  out.next_ = EdgeTable::read(in, out.nodes_);
  out.tags_ = Lists<Tag>::read(in);
  out.starts_ = in.array<std::uint8_t>();
  return out;
}

std::vector<Match> PhraseTree::scan(const std::vector<Token>& tokens) const {
  std::vector<Match> found;
  for (std::size_t i = 0; i < tokens.size(); ++i) {
    if (tokens[i].id < 0 || static_cast<std::size_t>(tokens[i].id) >= starts_.size() ||
        starts_[static_cast<std::size_t>(tokens[i].id)] == 0)
      continue;
    std::uint32_t node = 0;
    for (std::size_t j = i; j < tokens.size(); ++j) {
      const Token& t = tokens[j];
      if (t.word == nullptr) {
        if (joins(t.mark)) continue;
        break;
      }
      if (t.id < 0) break;
      node = next_.find(node, t.id);
      if (node == 0) break;
      for (const Tag& tag : tags_.at(node))
        found.push_back({static_cast<std::uint32_t>(i), static_cast<std::uint32_t>(j + 1), tag});
    }
  }
  return found;
}

}  // namespace kb
