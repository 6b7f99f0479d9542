// Flat tables that are built once, stored in the database as bytes, and read back with a few copies:
// a program that answers in milliseconds has no time to build them anew.
//
// The bytes are those of this machine's kind (order and widths are checked on reading).
#pragma once

#include <algorithm>
#include <cstdint>
#include <cstring>
#include <functional>
#include <map>
#include <span>
#include <string>
#include <string_view>
#include <type_traits>
#include <unordered_map>
#include <utility>
#include <vector>

#include "kb/error.h"

namespace kb {

class ByteWriter {
 public:
  void number(std::int64_t value) { raw(&value, sizeof value); }
  void text(std::string_view value) {
    number(static_cast<std::int64_t>(value.size()));
    out_.append(value);
  }
  void texts(const std::vector<std::string>& values) {
    number(static_cast<std::int64_t>(values.size()));
    for (const std::string& v : values) text(v);
  }
  template <typename Map>
  void text_map(const Map& values) {
    number(static_cast<std::int64_t>(values.size()));
    for (const auto& [key, value] : values) {
      text(key);
      text(value);
    }
  }
  template <typename T>
  void array(const std::vector<T>& values) {
    static_assert(std::has_unique_object_representations_v<T>, "padding would be stored: not the same bytes twice");
    number(static_cast<std::int64_t>(values.size()));
    if (!values.empty()) raw(values.data(), values.size() * sizeof(T));
  }
  std::string take() { return std::move(out_); }

 private:
  void raw(const void* data, std::size_t size) { out_.append(static_cast<const char*>(data), size); }
  std::string out_;
};

// Reads what ByteWriter wrote. Throws kb::Error when the bytes end too early.
class ByteReader {
 public:
  explicit ByteReader(std::string_view bytes) : bytes_(bytes) {}
  std::int64_t number() {
    std::int64_t value = 0;
    std::memcpy(&value, part(sizeof value).data(), sizeof value);
    return value;
  }
  std::string text() { return std::string(part(size())); }
  std::vector<std::string> texts() {
    std::vector<std::string> out(count(sizeof(std::int64_t)));
    for (std::string& t : out) t = text();
    return out;
  }
  std::map<std::string, std::string, std::less<>> text_map() {
    std::map<std::string, std::string, std::less<>> out;
    for (std::size_t n = count(2 * sizeof(std::int64_t)); n > 0; --n) {
      std::string key = text();
      out.emplace_hint(out.end(), std::move(key), text());
    }
    return out;
  }
  template <typename T>
  std::vector<T> array() {
    std::vector<T> out(count(sizeof(T)));
    if (!out.empty()) std::memcpy(out.data(), part(out.size() * sizeof(T)).data(), out.size() * sizeof(T));
    return out;
  }
  // How many things of at least `least` bytes each follow.
  std::size_t count(std::size_t least) {
    const std::size_t n = size();
    if (n > bytes_.size() / least) fail();
    return n;
  }

 private:
  std::size_t size() {
    const std::int64_t n = number();
    if (n < 0 || static_cast<std::uint64_t>(n) > bytes_.size()) fail();
    return static_cast<std::size_t>(n);
  }
  std::string_view part(std::size_t size) {
    if (size > bytes_.size()) fail();
    const std::string_view out = bytes_.substr(0, size);
    bytes_.remove_prefix(size);
    return out;
  }
  [[noreturn]] static void fail() { throw Error("the database's compiled words are damaged; build it again with letbe-index"); }

  std::string_view bytes_;
};

// Texts and a number for each: a hash table while it is built, then one pool of bytes in sorted order.
class TextTable {
 public:
  // The number of `text`, or -1.
  std::int32_t find(std::string_view text) const;
  // The same in a flat table, and whether longer texts begin with it.
  std::int32_t find(std::string_view text, bool& begins_others) const;
  // Adds `text` with `value` when it is new; the number that stands there now. Not after flatten().
  std::int32_t add(std::string_view text, std::int32_t value);
  std::size_t size() const { return building_.size() + values_.size(); }
  void flatten();
  // Once flat: the places [first, last) of the texts that begin with `letter`, and the text at one.
  std::pair<std::size_t, std::size_t> beginning_with(char letter) const;
  std::string_view text(std::size_t at) const;
  std::int32_t value(std::size_t at) const { return values_[at]; }

  void write(ByteWriter& out) const;
  static TextTable read(ByteReader& in);  // Throws kb::Error when the table is not sound.

 private:
  void index();
  struct Hash {
    using is_transparent = void;
    std::size_t operator()(std::string_view text) const { return std::hash<std::string_view>()(text); }
  };
  std::size_t first_not_below(std::string_view text) const;

  std::unordered_map<std::string, std::int32_t, Hash, std::equal_to<>> building_;
  std::string pool_;
  std::vector<std::uint32_t> ends_;  // Of each text in the pool.
  std::vector<std::int32_t> values_;
  std::vector<std::uint32_t> by_first_;  // Where the texts of each first byte begin, and the end.
};

// The edges of a tree: from a node by a word to a node. A hash table while it is built, then rows by node.
class EdgeTable {
 public:
  // Where the edge leads; 0 when there is none (no edge leads to the root).
  std::uint32_t find(std::uint32_t node, std::int32_t word) const;
  void set(std::uint32_t node, std::int32_t word, std::uint32_t target);
  void flatten(std::uint32_t nodes);

  void write(ByteWriter& out) const;
  static EdgeTable read(ByteReader& in, std::size_t nodes);  // Targets must lie below `nodes`.

 private:
  struct Edge {
    std::int32_t word;
    std::uint32_t target;
  };
  // Node and word as one number that sorts by node, then word.
  static std::uint64_t packed(std::uint32_t node, std::int32_t word) {
    return (std::uint64_t{node} << 32) | (static_cast<std::uint32_t>(word) ^ 0x8000'0000u);
  }
  std::unordered_map<std::uint64_t, std::uint32_t> building_;
  std::vector<std::uint32_t> first_;  // By node: its first edge; one more at the end.
  std::vector<Edge> edges_;           // By node, then word.
};

// Lists of trivially copyable things by number, flattened once they are complete.
template <typename T>
class Lists {
 public:
  // While building.
  void add(std::uint32_t list, const T& value) {
    resize(list + std::size_t{1});
    building_.emplace_back(list, value);
  }
  void resize(std::size_t lists) { lists_ = std::max(lists_, lists); }
  void flatten() {
    first_.assign(lists_ + 1, 0);
    for (const auto& [list, value] : building_) ++first_[list + std::size_t{1}];
    for (std::size_t i = 1; i < first_.size(); ++i) first_[i] += first_[i - 1];
    values_.resize(building_.size());
    std::vector<std::uint32_t> next = first_;
    for (const auto& [list, value] : building_) values_[next[list]++] = value;
    building_ = {};
  }
  // Once flat.
  std::span<const T> at(std::uint32_t list) const {
    if (list + 1 >= first_.size()) return {};
    return std::span(values_).subspan(first_[list], first_[list + 1] - first_[list]);
  }
  const std::vector<T>& all() const { return values_; }

  void write(ByteWriter& out) const {
    out.array(first_);
    out.array(values_);
  }
  static Lists read(ByteReader& in) {
    Lists out;
    out.first_ = in.array<std::uint32_t>();
    out.values_ = in.array<T>();
    std::uint32_t last = 0;
    for (const std::uint32_t f : out.first_) {
      if (f < last || f > out.values_.size()) throw Error("the database's compiled words are damaged; build it again with letbe-index");
      last = f;
    }
    return out;
  }

 private:
  std::size_t lists_ = 0;
  std::vector<std::pair<std::uint32_t, T>> building_;  // In the order in which they came.
  std::vector<std::uint32_t> first_;
  std::vector<T> values_;
};

}  // namespace kb
