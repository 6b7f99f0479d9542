// The kinds of articles: their folders, their sections and the keys of their front matter.
//
// The tables of the design as data; page.cpp and front_matter.cpp check against them.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace indexer {

struct Kind {
  std::string name;                   // "material"
  std::string folder;                 // "materials"
  std::vector<std::string> sections;  // Level 2, in order.
  bool free_sections = false;         // Any others may follow.
  int report_words = 0;               // Most words of its report wording; 0: it has none.
};

// The eight kinds in the order in which the database holds them.
std::span<const Kind> all_kinds();
// Null when there is no such kind or folder.
const Kind* kind_by_name(std::string_view name);
const Kind* kind_by_folder(std::string_view folder);

// What the value of a key looks like.
enum class Shape : std::uint8_t {
  text,
  word,
  date,
  names,
  texts,
  links,
  years,
  asbestos,
  us_line,
  seen_as,
  sources,
  digits,
};

struct Key {
  std::string name;
  Shape shape = Shape::text;
  std::string hint;                     // What to write, for messages.
  std::vector<std::string> words;       // Of a Shape::word: what it can be.
  std::string link_kind;                // Of Shape::links: the only kind it leads to; empty: any.
  std::vector<std::string> needed_by;   // Kinds; "all" stands for every kind.
  std::vector<std::string> allowed_in;  // Beside those that need it.

  bool needed(const Kind& kind) const;
  bool allowed(const Kind& kind) const;
};

// Every key in the order of the example pages.
std::span<const Key> all_keys();
// Null when there is no such key.
const Key* key_by_name(std::string_view name);

inline constexpr std::string_view kReportWording = "Report wording";
inline constexpr int kVariantWords = 20;

}  // namespace indexer
