#include "kb/frozen.h"

namespace kb {
namespace {

constexpr std::size_t kFirstSlots = 64;  // A power of two, as every later size.

std::uint32_t hash_of(std::string_view text) {
  std::uint32_t h = 2166136261u;  // FNV-1a.
  for (const char c : text) h = (h ^ static_cast<unsigned char>(c)) * 16777619u;
  return h;
}

[[noreturn]] void unsound() { throw Error("the database's compiled words are damaged; build it again with letbe-index"); }

bool power_of_two(std::size_t n) { return n != 0 && (n & (n - 1)) == 0; }

std::uint64_t edge_key(std::uint32_t node, std::int32_t word) {
  return (static_cast<std::uint64_t>(node) << 32) | static_cast<std::uint32_t>(word);
}

std::size_t mixed(std::uint64_t key) {
  key *= 0x9E3779B97F4A7C15u;
  return static_cast<std::size_t>(key ^ (key >> 29));
}

}  // namespace

std::size_t TextTable::place(std::string_view text, std::uint32_t hash) const {
  const std::size_t mask = slots_.size() - 1;
  std::size_t at = hash & mask;
  while (slots_[at].value >= 0 &&
         (slots_[at].hash != hash || std::string_view(pool_).substr(slots_[at].offset, slots_[at].length) != text))
    at = (at + 1) & mask;
  return at;
}

std::int32_t TextTable::find(std::string_view text) const {
  return slots_.empty() ? -1 : slots_[place(text, hash_of(text))].value;
}

void TextTable::grow() {
  std::vector<Slot> old = std::move(slots_);
  slots_.assign(old.empty() ? kFirstSlots : old.size() * 2, Slot{});
  for (const Slot& s : old)
    if (s.value >= 0) slots_[place(std::string_view(pool_).substr(s.offset, s.length), s.hash)] = s;
}

std::int32_t TextTable::add(std::string_view text, std::int32_t value) {
  if ((count_ + 1) * 2 > slots_.size()) grow();
  const std::uint32_t hash = hash_of(text);
  Slot& slot = slots_[place(text, hash)];
  if (slot.value < 0) {
    slot = {static_cast<std::uint32_t>(pool_.size()), static_cast<std::uint32_t>(text.size()), value, hash};
    pool_.append(text);
    ++count_;
  }
  return slot.value;
}

void TextTable::write(ByteWriter& out) const {
  out.text(pool_);
  out.array(slots_);
}

TextTable TextTable::read(ByteReader& in) {
  TextTable out;
  out.pool_ = in.text();
  out.slots_ = in.array<Slot>();
  for (const Slot& s : out.slots_) {
    if (s.value < 0) continue;
    ++out.count_;
    if (s.offset > out.pool_.size() || s.length > out.pool_.size() - s.offset) unsound();
  }
  // A full table would be searched for ever.
  if (!out.slots_.empty() && (!power_of_two(out.slots_.size()) || out.count_ >= out.slots_.size())) unsound();
  return out;
}

std::size_t EdgeTable::place(std::uint64_t key) const {
  const std::size_t mask = slots_.size() - 1;
  std::size_t at = mixed(key) & mask;
  while (slots_[at].target != 0 && slots_[at].key != key) at = (at + 1) & mask;
  return at;
}

std::uint32_t EdgeTable::find(std::uint32_t node, std::int32_t word) const {
  return slots_.empty() ? 0 : slots_[place(edge_key(node, word))].target;
}

void EdgeTable::grow() {
  std::vector<Slot> old = std::move(slots_);
  slots_.assign(old.empty() ? kFirstSlots : old.size() * 2, Slot{});
  for (const Slot& s : old)
    if (s.target != 0) slots_[place(s.key)] = s;
}

void EdgeTable::set(std::uint32_t node, std::int32_t word, std::uint32_t target) {
  if ((count_ + 1) * 2 > slots_.size()) grow();
  Slot& slot = slots_[place(edge_key(node, word))];
  if (slot.target == 0) ++count_;
  slot = {edge_key(node, word), target, 0};
}

void EdgeTable::write(ByteWriter& out) const { out.array(slots_); }

EdgeTable EdgeTable::read(ByteReader& in, std::size_t nodes) {
  EdgeTable out;
  out.slots_ = in.array<Slot>();
  for (const Slot& s : out.slots_) {
    if (s.target == 0) continue;
    ++out.count_;
    if (s.target >= nodes) unsound();
  }
  if (!out.slots_.empty() && (!power_of_two(out.slots_.size()) || out.count_ >= out.slots_.size())) unsound();
  return out;
}

}  // namespace kb
