// kb/frozen.h: tables as bytes and back, and bytes that are not what they should be.
#include "kb/frozen.h"

#include <doctest/doctest.h>

#include <limits>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "kb/error.h"
#include "tests/unit/corpus_for_tests.h"

namespace {

using namespace std::string_literals;

constexpr const char* kDamaged =
    "the database's compiled words are damaged; build it again with letbe-index";

using Map = std::map<std::string, std::string, std::less<>>;

// One of everything.
std::string one_of_each() {
  kb::ByteWriter out;
  out.number(-7);
  out.text("a\0b"s);
  out.texts({"", "two"});
  out.text_map(Map{{"from", "to"}, {"grey", "gray"}});
  out.array(std::vector<std::uint32_t>{1, 2, 3});
  return out.take();
}

void read_one_of_each(kb::ByteReader& in) {
  in.number();
  in.text();
  in.texts();
  in.text_map();
  in.array<std::uint32_t>();
}

std::string numbers(const std::vector<std::int64_t>& values) {
  kb::ByteWriter out;
  for (const std::int64_t v : values) out.number(v);
  return out.take();
}

kb::TextTable words() {
  kb::TextTable table;
  int value = 10;
  for (const char* word : {"pipe", "lagging", "", "paper", "tile", "é"}) table.add(word, value++);
  return table;
}

}  // namespace

TEST_CASE("what was written is read back") {
  const std::string bytes = one_of_each();
  kb::ByteReader in(bytes);
  CHECK(in.number() == -7);
  CHECK(in.text() == "a\0b"s);
  CHECK(in.texts() == std::vector<std::string>{"", "two"});
  CHECK(in.text_map() == Map{{"from", "to"}, {"grey", "gray"}});
  CHECK(in.array<std::uint32_t>() == std::vector<std::uint32_t>{1, 2, 3});
  CHECK_THROWS_WITH_AS(in.number(), kDamaged, kb::Error);
}

TEST_CASE("bytes that end too early are refused wherever they end") {
  const std::string bytes = one_of_each();
  for (std::size_t size = 0; size < bytes.size(); ++size) {
    CAPTURE(size);
    kb::ByteReader in(std::string_view(bytes).substr(0, size));
    CHECK_THROWS_WITH_AS(read_one_of_each(in), kDamaged, kb::Error);
  }
  kb::ByteReader whole(bytes);
  CHECK_NOTHROW(read_one_of_each(whole));
}

TEST_CASE("a length that no such bytes can hold is refused before memory is asked for") {
  for (const std::int64_t length :
       {std::int64_t{-1}, std::int64_t{9}, std::int64_t{1} << 40,
        std::numeric_limits<std::int64_t>::max(), std::numeric_limits<std::int64_t>::min()}) {
    CAPTURE(length);
    const std::string bytes = numbers({length, 0});
    const auto refused = [&](auto read) {
      kb::ByteReader in(bytes);
      CHECK_THROWS_WITH_AS(read(in), kDamaged, kb::Error);
    };
    refused([](kb::ByteReader& in) { in.text(); });
    refused([](kb::ByteReader& in) { in.texts(); });
    refused([](kb::ByteReader& in) { in.text_map(); });
    refused([](kb::ByteReader& in) { in.array<std::uint64_t>(); });
  }
  const std::string two = numbers({2, 0});
  kb::ByteReader in(two);
  CHECK_THROWS_WITH_AS(in.array<std::uint64_t>(), kDamaged, kb::Error);
}

TEST_CASE("a text table answers the same while built, once flat and read back") {
  kb::TextTable built = words();
  CHECK(built.add("pipe", 99) == 10);
  kb::TextTable flat = words();
  flat.flatten();
  kb::ByteWriter out;
  flat.write(out);
  const std::string bytes = out.take();
  kb::ByteReader in(bytes);
  const kb::TextTable read = kb::TextTable::read(in);
  for (const kb::TextTable* table : std::vector<const kb::TextTable*>{&built, &flat, &read}) {
    CHECK(table->size() == 6);
    CHECK(table->find("pipe") == 10);
    CHECK(table->find("") == 12);
    CHECK(table->find("é") == 15);
    for (const char* missing : {"pip", "pipes", "a", "zebra", "\xFF"}) {
      CAPTURE(std::string(missing));
      CHECK(table->find(missing) == -1);
    }
  }
  CHECK(read.text(0).empty());
  CHECK(read.text(1) == "lagging");
  CHECK(read.value(1) == 11);
  CHECK(read.beginning_with('p') == std::pair<std::size_t, std::size_t>{2, 4});
  CHECK(read.beginning_with('m') == std::pair<std::size_t, std::size_t>{2, 2});
  CHECK(read.beginning_with('z') == std::pair<std::size_t, std::size_t>{5, 5});
  CHECK(kb::TextTable().find("x") == -1);
}

TEST_CASE("a text table whose parts do not fit is refused") {
  struct Table {
    std::string pool;
    std::vector<std::uint32_t> ends;
    std::vector<std::int32_t> values;
    bool sound;
  };
  const Table cases[] = {
      {"abcd", {2, 4}, {1, 2}, true},  {"", {}, {}, true},
      {"abcd", {2, 4}, {1}, false},    {"abcd", {2}, {1, 2}, false},
      {"abcd", {3, 2}, {1, 2}, false}, {"abcd", {2, 5}, {1, 2}, false},
  };
  for (const auto& c : cases) {
    CAPTURE(c.ends);
    kb::ByteWriter out;
    out.text(c.pool);
    out.array(c.ends);
    out.array(c.values);
    const std::string bytes = out.take();
    kb::ByteReader in(bytes);
    if (c.sound) {
      CHECK_NOTHROW(kb::TextTable::read(in));
    } else {
      CHECK_THROWS_WITH_AS(kb::TextTable::read(in), kDamaged, kb::Error);
    }
  }
}

TEST_CASE("edges lead where they were set and nowhere else") {
  kb::EdgeTable edges;
  edges.set(0, 5, 1);
  edges.set(0, 2, 2);
  edges.set(2, 5, 3);
  const auto check = [](const kb::EdgeTable& table) {
    CHECK(table.find(0, 5) == 1);
    CHECK(table.find(0, 2) == 2);
    CHECK(table.find(2, 5) == 3);
    for (const auto& edge : std::vector<std::pair<std::uint32_t, std::int32_t>>{
             {0, 3}, {0, -1}, {1, 5}, {2, 2}, {3, 5}, {9, 5}}) {
      const std::uint32_t node = edge.first;
      const std::int32_t word = edge.second;
      CAPTURE(node);
      CAPTURE(word);
      CHECK(table.find(node, word) == 0);
    }
  };
  check(edges);
  edges.flatten(4);
  check(edges);
  kb::ByteWriter out;
  edges.write(out);
  const std::string bytes = out.take();
  kb::ByteReader in(bytes);
  check(kb::EdgeTable::read(in, 4));
  kb::ByteReader again(bytes);
  CHECK_THROWS_WITH_AS(kb::EdgeTable::read(again, 3), kDamaged,
                       kb::Error);  // Leads outside the tree.
}

TEST_CASE("lists keep their order and a missing one is empty") {
  kb::Lists<std::int32_t> lists;
  lists.add(2, 7);
  lists.add(0, 5);
  lists.add(2, 6);
  lists.resize(5);
  lists.flatten();
  kb::ByteWriter out;
  lists.write(out);
  const std::string bytes = out.take();
  kb::ByteReader in(bytes);
  const auto read = kb::Lists<std::int32_t>::read(in);
  const std::vector<std::vector<std::int32_t>> wanted{{5}, {}, {7, 6}, {}, {}, {}, {}};
  for (std::uint32_t i = 0; i < wanted.size(); ++i) {
    CAPTURE(i);
    const auto there = read.at(i);
    CHECK(std::vector<std::int32_t>(there.begin(), there.end()) == wanted[i]);
  }
  CHECK(read.all() == std::vector<std::int32_t>{5, 7, 6});
  CHECK(kb::Lists<std::int32_t>().at(0).empty());
  for (const auto& first : std::vector<std::vector<std::uint32_t>>{{0, 2, 1}, {0, 4}}) {
    kb::ByteWriter wrong;
    wrong.array(first);
    wrong.array(std::vector<std::int32_t>{1, 2, 3});
    const std::string wrong_bytes = wrong.take();
    kb::ByteReader reader(wrong_bytes);
    CHECK_THROWS_WITH_AS(kb::Lists<std::int32_t>::read(reader), kDamaged, kb::Error);
  }
}

TEST_CASE("the corpus is as its frozen bytes and gives them again") {
  const std::string bytes = test_knowledge().freeze();
  kb::Statement stored = test_database().compiled("knowledge");
  REQUIRE(stored.step());
  CHECK(stored.bytes(0) == bytes);
}
