#include "kb/frozen.h"

#include <algorithm>

namespace kb {
namespace {

[[noreturn]] void unsound() { throw Error("the database's compiled words are damaged; build it again with letbe-index"); }

}  // namespace

std::string_view TextTable::text(std::size_t at) const {
  const std::size_t begin = at == 0 ? 0 : ends_[at - 1];
  return std::string_view(pool_).substr(begin, ends_[at] - begin);
}

std::size_t TextTable::first_not_below(std::string_view wanted) const {
  std::size_t low = 0, high = values_.size();
  if (!wanted.empty() && !by_first_.empty()) {
    const auto c = static_cast<unsigned char>(wanted[0]);
    low = by_first_[c];
    high = by_first_[c + std::size_t{1}];
  }
  while (low < high) {
    const std::size_t middle = low + (high - low) / 2;
    if (text(middle) < wanted) {
      low = middle + 1;
    } else {
      high = middle;
    }
  }
  return low;
}

std::int32_t TextTable::find(std::string_view wanted) const {
  if (const auto place = building_.find(wanted); place != building_.end()) return place->second;
  const std::size_t at = first_not_below(wanted);
  return at < values_.size() && text(at) == wanted ? values_[at] : -1;
}

std::int32_t TextTable::find(std::string_view wanted, bool& begins_others) const {
  const std::size_t at = first_not_below(wanted);
  const bool here = at < values_.size() && text(at) == wanted;
  const std::size_t next = here ? at + 1 : at;
  begins_others = next < values_.size() && text(next).starts_with(wanted);
  return here ? values_[at] : -1;
}

std::int32_t TextTable::add(std::string_view text, std::int32_t value) {
  return building_.emplace(std::string(text), value).first->second;
}

void TextTable::flatten() {
  std::vector<std::pair<std::string_view, std::int32_t>> sorted(building_.begin(), building_.end());
  std::sort(sorted.begin(), sorted.end());
  for (const auto& [text, value] : sorted) {
    pool_ += text;
    ends_.push_back(static_cast<std::uint32_t>(pool_.size()));
    values_.push_back(value);
  }
  building_ = {};
  index();
}

std::pair<std::size_t, std::size_t> TextTable::beginning_with(char letter) const {
  const std::string from(1, letter), to(1, static_cast<char>(letter + 1));
  return {first_not_below(from), first_not_below(to)};
}

void TextTable::write(ByteWriter& out) const {
  out.text(pool_);
  out.array(ends_);
  out.array(values_);
}

TextTable TextTable::read(ByteReader& in) {
  TextTable out;
  out.pool_ = in.text();
  out.ends_ = in.array<std::uint32_t>();
  out.values_ = in.array<std::int32_t>();
  if (out.ends_.size() != out.values_.size()) unsound();
  std::uint32_t last = 0;
  for (const std::uint32_t end : out.ends_) {
    if (end < last || end > out.pool_.size()) unsound();
    last = end;
  }
  out.index();
  return out;
}

void TextTable::index() {
  by_first_.assign(257, static_cast<std::uint32_t>(values_.size()));
  std::size_t letter = 0;
  for (std::size_t at = 0; at < values_.size(); ++at) {
    const std::string_view t = text(at);
    const std::size_t c = t.empty() ? 0 : static_cast<unsigned char>(t[0]);
    // Not in order: a damaged file; the search then answers less, and never out of bounds.
    while (letter <= c) by_first_[letter++] = static_cast<std::uint32_t>(at);
  }
}

std::uint32_t EdgeTable::find(std::uint32_t node, std::int32_t word) const {
  if (const auto place = building_.find(packed(node, word)); place != building_.end()) return place->second;
  if (node + 1 >= first_.size()) return 0;
  const auto begin = edges_.begin() + first_[node], end = edges_.begin() + first_[node + 1];
  const auto place = std::lower_bound(begin, end, word, [](const Edge& e, std::int32_t w) { return e.word < w; });
  return place != end && place->word == word ? place->target : 0;
}

void EdgeTable::set(std::uint32_t node, std::int32_t word, std::uint32_t target) { building_[packed(node, word)] = target; }

void EdgeTable::flatten(std::uint32_t nodes) {
  first_.assign(nodes + std::size_t{1}, 0);
  std::vector<std::pair<std::uint64_t, std::uint32_t>> sorted(building_.begin(), building_.end());
  building_ = {};
  std::sort(sorted.begin(), sorted.end());
  for (const auto& [edge, target] : sorted) {
    ++first_[(edge >> 32) + 1];
    edges_.push_back({static_cast<std::int32_t>(static_cast<std::uint32_t>(edge) ^ 0x8000'0000u), target});
  }
  for (std::size_t i = 1; i < first_.size(); ++i) first_[i] += first_[i - 1];
}

void EdgeTable::write(ByteWriter& out) const {
  out.array(first_);
  out.array(edges_);
}

EdgeTable EdgeTable::read(ByteReader& in, std::size_t nodes) {
  EdgeTable out;
  out.first_ = in.array<std::uint32_t>();
  out.edges_ = in.array<Edge>();
  std::uint32_t last = 0;
  for (const std::uint32_t first : out.first_) {
    if (first < last || first > out.edges_.size()) unsound();
    last = first;
  }
  for (const Edge& e : out.edges_)
    if (e.target >= nodes) unsound();
  return out;
}

}  // namespace kb
