// Mistakes in the articles: where, which rule, what to write instead.
//
// A mistake is data, never an exception: a run collects all of them and prints all of them. The
// rule table below is the only list of rules; tests/lint holds a bad and a good file for each rule of
// pages and drawings.
#pragma once

#include <compare>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace indexer {

// A line of an input file, counted from 1. `file` is the path of a SourceFile, which must outlive
// it.
struct Place {
  std::string_view file;
  int line = 1;
};

enum class Rule : std::uint8_t {
  unknown_key,
  repeated_key,
  missing_key,
  wrong_form,
  wrong_value,
  wrong_range,
  id_not_file_name,
  id_of_another_kind,
  missing_section,
  unknown_section,
  misplaced_section,
  unknown_article,
  wrong_kind_of_link,
  repeated_section,
  empty_section,
  shared_name,
  repeated_entry,
  empty_name,
  page_too_large,
  not_utf8,
  no_front_matter,
  invalid_yaml,
  malformed_seen_as,
  long_wording,
  not_plain_wording,
  unknown_variant,
  unsafe_markup,
  unreadable,
  unknown_backing,
  faulty_vocabulary,
  text_outside_section,
  page_length,
  repeated_run,
  no_look_alike,
  comfort,
  certainty,
  instruction,
  report_word,
  price,
  brand,
  person,
  address,
  hard_to_read,
  stale_override,
  own_vocabulary,
  standing_limits,
  one_sided_link,
  no_era,
  outside_era,
  no_rule,
  drawing_without_page,
  drawing_too_large,
  drawing_not_xml,
  drawing_root,
  drawing_untold,
  drawing_element,
  drawing_attribute,
  drawing_color,
};

// Does one page or one drawing suffice to break the rule, or does it take the rest of the corpus?
enum class Scope : std::uint8_t { page, drawing, corpus };

// An error keeps a database from being written; a warning is printed, for a reader to judge.
enum class Severity : std::uint8_t { error, warning };

struct RuleInfo {
  Rule rule;
  const char* id;  // "KB012"; never given to another rule.
  Scope scope;
  const char* sentence;
  Severity severity = Severity::error;
};

// Every rule, in the order of the enum.
std::span<const RuleInfo> all_rules();

struct Problem {
  std::string file;
  int line = 1;
  std::string rule;     // "KB012"
  std::string message;  // "what; what instead"
  Severity severity = Severity::error;
  auto operator<=>(const Problem&) const = default;
};

// "articles/materials/x.md:24: unknown article 'y'; did you mean 'z'? [KB012]"; of a warning,
// "warning: " stands behind the place.
std::string to_line(const Problem& problem);

class Problems {
 public:
  void add(Rule rule, Place place, std::string message);
  // By file, line and rule; what was found twice stands once.
  std::vector<Problem> sorted() const;
  bool empty() const { return found_.empty(); }
  bool any_error() const { return any_error_; }

 private:
  std::vector<Problem> found_;
  bool any_error_ = false;
};

// The one of `known` with the fewest letters changed, at most one in three; null when none is that
// near. The first of equally near ones wins.
const std::string* nearest(std::string_view word, std::span<const std::string> known);

// "; did you mean 'X'?" for the nearest of `known`, or "; " + `otherwise` when nothing is near.
std::string or_nearest(std::string_view word, std::span<const std::string> known,
                       std::string_view otherwise);

// The words in one string, "a, b, c".
std::string joined(std::span<const std::string> words);

}  // namespace indexer
